// @ts-check
// Top-outs computed from the parts, beside the measured ones.

import { byId, el, row, table } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { about, fixed, plusMinus, withPlusMinus } from '../lib/units.js';
import { basisWords } from '../model/words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Chart } from '../model/types.js' */
/** @import { Geared, PartsData } from './types.js' */

/** @param {PartsData} known @param {Units} units */
export function showGeared({ sled, geared, chart }, units) {
  byId('factor', HTMLParagraphElement).textContent = factorWords(geared);
  const list = byId('stands-out', HTMLUListElement);
  list.hidden = geared.stands_out.length === 0;
  list.replaceChildren(...geared.stands_out.map(({ detail }) => el('li', {}, el('p', {}, detail))));
  const odd = new Set(geared.stands_out.map(({ gear }) => gear));
  const missing = geared.gears.some(({ missing: parts }) => parts.length > 0);
  const rows = geared.gears.map((gear) => {
    const [feet, basis] = measured(chart, gear.label, gear.measured_top_out_ft, units);
    /** @type {(string|Node)[]} */
    const cells = [
      gear.geared_top_out_ft === null ? 'not known' : about(gear.geared_top_out_ft, units), feet, basis,
      gear.measured_over_geared === null ? '' : `${fixed(gear.measured_over_geared, 3)}${odd.has(gear.label) ? ', stands out' : ''}`,
    ];
    if (missing) cells.push(el('div', { class: 'missing' }, gear.missing.join(', ')));
    return row(gear.label, cells, { class: odd.has(gear.label) ? 'chosen' : '' });
  });
  const heads = ['Gear', 'By the parts alone', 'By the tape', 'Known from', 'Tape over parts'];
  if (missing) heads.push('Not known yet');
  byId('geared-table', HTMLDivElement).replaceChildren(
    table(`${isolated(sled.name)} from full back: by its parts, and measured`, heads, rows));
}

/** @param {Geared} geared */
function factorWords({ gears, factor, factor_low: low, factor_high: high, varies_with_speed: varies }) {
  if (factor === null || low === null || high === null) {
    const measured = gears.some(({ measured_top_out_ft: feet }) => feet !== null);
    return measured
      ? 'No gear is both measured and known by its parts, so the two cannot be compared yet. ' +
        'What is missing stands beside each gear; fill in below what somebody knows.'
      : 'No gear has been measured yet, so there is nothing to hold the parts against.';
  }
  const off = 100 * (factor - 1);
  const says = `The sled tops out at ${fixed(factor, 3)} ± ${fixed(Math.max(0.001, plusMinus(low, high)), 3)} times what its parts say`;
  const meaning = low < 1 && high > 1
    ? 'the same as far as measuring can tell.'
    : `${fixed(Math.abs(off), 1)} % ${off > 0 ? 'later' : 'earlier'}: the real rolling radius, and slip.`;
  return `${says}, ${meaning}${varies ? ' It changes evenly from the slow gears to the fast; this is the middle.' : ''}`;
}

/**
 * The chart's top-out of a gear from full back, if it is measured.
 * @param {Chart} chart
 * @param {string} label
 * @param {number|null} feet
 * @param {Units} units
 */
function measured(chart, label, feet, units) {
  const at = chart.gears.find((gear) => gear.label === label)?.top_outs[0];
  if (feet !== null && at && at.low_ft !== null && at.high_ft !== null) {
    return [withPlusMinus(feet, plusMinus(at.low_ft, at.high_ft), units), basisWords(at.basis)];
  }
  return ['not measured', at && at.basis !== 'none' ? `the chart goes by: ${basisWords(at.basis, at.stated_by)}` : ''];
}
