// @ts-check
// The sentences of the pullers' page.

import { dateWords } from '../lib/dates.js';
import { el } from '../lib/dom.js';
import { capitalized } from '../lib/text.js';
import { noted, plusMinus, rounded, withPlusMinus } from '../lib/units.js';
import { basisWords, startWords, summarize } from '../model/words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sheet, SheetRow } from '../model/showtypes.js' */
/** @import { Equivalents, Nearest } from '../model/types.js' */

/**
 * @param {Equivalents} equivalents  with one answer
 * @param {{asked: string, on: string}} names
 * @param {{gear: string, start: number}} ran
 * @param {Units} units
 */
export function answerWords({ asked, answers: [answer] }, names, ran, units) {
  const summary = summarize(asked, answer, names, units);
  const { sure, level } = summary;
  const from = ran.start === 0 ? '' : `, from ${startWords(ran.start, units)}`;
  const what = `${ran.gear} on ${names.asked}${from}`;
  const nearest = answer?.nearest;
  if (!nearest || level === 'unknown') {
    return { gear: 'Not known.', headline: summary.sentence, sure, why: '', level, line: `${what}: not known on ${names.on}` };
  }
  const against = wayWords(nearest, units);
  const gear = level === 'out-of-reach' ? 'Out of reach.' : `${nearest.gear} on ${names.on}`;
  const headline = level === 'out-of-reach'
    ? `${names.on}’s ${nearest.difference_ft < 0 ? 'slowest' : 'fastest'} gear, ${nearest.gear}, is ${against}.`
    : `${against}.`;
  const why = [
    ran.start !== 0 && (nearest.compared_at === 'full-back'
      ? 'Compared at full back.'
      : `Both boxes start ${startWords(ran.start, units)}.`),
    nearest.basis !== 'measured' && `${nearest.gear} on ${names.on} is ${basisWords(nearest.basis, nearest.stated_by)}.`,
    asked.basis !== 'measured' && `${ran.gear} on ${names.asked} is ${basisWords(asked.basis, asked.stated_by)}.`,
  ].filter(Boolean).join(' ');
  return { gear, headline, sure, why, level,
    line: `${what} is ${level === 'out-of-reach' ? 'out of reach' : nearest.gear} on ${names.on}: ${against}` };
}

/**
 * "4 ± 5 ft later, so lighter on the way": later is lighter, because the weight comes on later.
 * @param {Nearest} nearest
 * @param {Units} units
 */
function wayWords(nearest, units) {
  const give = plusMinus(nearest.difference_low_ft, nearest.difference_high_ft);
  const text = rounded(Math.abs(nearest.difference_ft), give, units);
  if (Number(text.value) === 0) return `level, ±\u00a0${text.plusMinus}\u00a0${units}, so the same on the way`;
  const [way, weight] = nearest.difference_ft > 0 ? ['later', 'lighter'] : ['earlier', 'heavier'];
  const mayBeNothing = nearest.difference_low_ft < 0 && nearest.difference_high_ft > 0;
  return `${text.value}\u00a0±\u00a0${text.plusMinus}\u00a0${units} ${way}, so ${mayBeNothing ? 'if anything ' : ''}${weight} on the way`;
}

/** The sled and the show. @param {Sheet} sheet @returns {Node[]} */
export function showWords(sheet) {
  return [
    el('span', {}, 'Sled: ', el('strong', {}, sheet.sled_name)), el('br'), el('span', {}, `${sheet.name}, ${dateWords(sheet.date)}`),
    ...(sheet.over ? [el('br'), el('span', {}, 'This show is over; below is the sheet it was run with.')] : []),
  ];
}

/**
 * A class: its gear tonight, start position and top-out.
 * @param {SheetRow} row
 * @param {Units} units
 */
export function classItem(row, units) {
  const name = el('p', { class: 'class' }, row.name);
  const { nearest, detail } = row.tonight;
  if (!nearest) return el('li', {}, name, el('p', {}, `Gear not known. ${detail ?? ''}`.trim()));
  return el('li', {}, name,
    el('p', { class: 'setting' }, el('strong', {}, nearest.gear), ` from ${startWords(nearest.start_ft, units)}, tops out about `,
      withPlusMinus(nearest.top_out_ft, plusMinus(nearest.low_ft, nearest.high_ft), units)),
    ...remarks(row, units).map((text) => el('p', { class: 'remark' }, text)));
}

/** @param {SheetRow} row @param {Units} units */
function remarks({ tonight, as_run: asRun }, units) {
  const { nearest, runner_up: runnerUp } = tonight;
  if (!nearest) return [];
  const said = [];
  if (nearest.confidence === 'toss-up' && runnerUp) said.push(`A toss-up with ${runnerUp.gear}: the operator decides.`);
  if (nearest.out_of_reach) said.push('Out of reach: this is the nearest there is.');
  if (nearest.basis !== 'measured') said.push(`${capitalized(basisWords(nearest.basis, nearest.stated_by))}.`);
  for (const line of asRun) {
    const start = line.start_ft === 0 ? '' : ` from ${noted(line.start_ft, units)} forward`;
    said.push(`Set: ${line.gear}${start}, from ${line.pull_off ? 'the pull-off, ' : ''}hook ${line.from_hook} on.`);
  }
  return said;
}
