// @ts-check
// A sled's chart: the drawing, its numbers in a table, the checks, and the repeatability.

import { byId, el, row, table } from '../../lib/dom.js';
import { picture } from '../../lib/picture.js';
import { isolated } from '../../lib/text.js';
import { noted, plusMinus, range, speedWords, withPlusMinus } from '../../lib/units.js';
import { basisWords, repeatabilityWords, startWords } from '../../model/words.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Chart, Check, Sled } from '../../model/types.js' */
/** @import { ReadingList } from './readings.js' */

/** @type {Record<Chart['shape'], string>} */
const SHAPES = {
  straight: 'Top-outs fall in proportion to the travel that is left.',
  measured: 'Top-outs fall as they were measured from several start positions; the taped travel alone does not explain them.',
  'full-back-only': 'One start position is measured and no travel is known, so nothing can be said of other start positions.',
};

/** @param {Chart} chart */
function shapeWords(chart) {
  return chart.shape === 'measured' && chart.travel_ft === null
    ? 'The travel has not been taped, so the chart joins the measured start positions and says nothing beyond them.'
    : SHAPES[chart.shape];
}

/**
 * @param {Sled} sled
 * @param {Chart} chart
 * @param {string} drawing  path of the drawing
 * @param {Units} units
 * @param {ReadingList} list
 */
export function showChart(sled, chart, drawing, units, list) {
  const body = byId('chart-body', HTMLDivElement);
  const about = byId('chart-numbers', HTMLDivElement);
  const fold = byId('chart-fold', HTMLDetailsElement);
  const known = chart.gears.some(({ top_outs: topOuts }) => topOuts.some(({ top_out_ft: topOut }) => topOut !== null));
  list.setChecks(chart.checks);
  byId('checks-section', HTMLElement).hidden = chart.checks.length === 0;
  byId('checks', HTMLDivElement).replaceChildren(...checkList(chart.checks, list));
  if (fold.hidden) fold.open = matchMedia('(min-width: 52rem)').matches; // on a phone the drawing says enough
  fold.hidden = !known;
  if (!known) {
    body.replaceChildren(el('p', { class: 'notice' },
      'No chart yet. Two marked top-outs of each gear from full back make a good one; begin with the slowest and the fastest gear.'));
    about.replaceChildren();
    return;
  }
  body.replaceChildren(
    picture(drawing, { units },
      `Top-out distance of each gear of ${isolated(sled.name)} against the start position; the table below has the same numbers.`,
      { ...chart, checks: chart.checks.map(({ code, reading }) => [code, reading]) })); // their sentences have units
  about.replaceChildren(
    numbers(sled, chart, units),
    el('p', {}, shapeWords(chart), ...impliedTravel(chart, units)),
    el('p', {}, repeatabilityWords(chart.repeatability)),
  );
}

/** @param {Sled} sled @param {Chart} chart @param {Units} units */
function numbers(sled, chart, units) {
  const rows = chart.gears.flatMap((gear) => gear.top_outs.length === 0
    ? [row(gear.label, ['', 'not known', '', '', '', ''])]
    : gear.top_outs.map((at, place) => {
      const { top_out_ft: topOut, low_ft: low, high_ft: high, tonight_low_ft: earliest, tonight_high_ft: latest } = at;
      const cells = topOut === null || low === null || high === null || earliest === null || latest === null
        ? ['not known', '']
        : [withPlusMinus(topOut, plusMinus(low, high), units), range(earliest, latest, units)];
      return row(gear.label, [
        startWords(at.start_ft, units), ...cells, basisWords(at.basis, at.stated_by), String(at.readings),
        place === 0 ? speedWords(gear.box_speed, gear.box_speed_low, gear.box_speed_high) || 'not known' : '',
      ], { class: place === 0 ? 'first' : '' });
    }));
  const per = units === 'm' ? 'Box meters per 100 m' : 'Box feet per 100 ft';
  return table(`Where the gears of ${isolated(sled.name)} top out`,
    ['Gear', 'Start', 'On average over nights', 'One more pull tonight', 'Known from', 'Readings', per], rows);
}

/** @param {Chart} chart @param {Units} units @returns {string[]} */
function impliedTravel(chart, units) {
  const implied = chart.implied_travel;
  if (!implied) return [];
  const says = withPlusMinus(implied.travel_ft, plusMinus(implied.low_ft, implied.high_ft), units);
  const taped = chart.travel_ft === null ? '' : ` The tape says ${noted(chart.travel_ft, units)}.`;
  return [` The readings by themselves imply a travel of ${says}${implied.used ? `, and the chart goes by that.${taped}` : '.'}`];
}

/** @param {Check[]} checks @param {ReadingList} list */
function checkList(checks, list) {
  if (checks.length === 0) return [];
  return [
    el('ul', { class: 'checks' }, ...checks.map((check) => {
      const problem = el('p', { class: 'fault', role: 'alert', hidden: true });
      const answers = list.answers(check, problem);
      const show = (/** @type {string|undefined} */ reading, /** @type {string} */ text) =>
        reading && el('button', { type: 'button', class: 'plain', onclick: () => list.goTo(reading) }, text);
      return el('li', { class: check.counts === false ? 'hollow' : '' },
        el('p', {}, check.detail),
        check.action && el('p', { class: 'action' }, check.action),
        answers.length > 0 && el('div', { class: 'actions', 'data-needs': 'operator' }, ...answers),
        show(check.reading, check.other_reading ? 'Show the one' : 'Show the reading'), show(check.other_reading, 'Show the other'),
        problem);
    })),
  ];
}
