// @ts-check
// What the parts predict beside what was measured, and how a sled's test days lie among each other.

import { picture } from './answer.js';
import { byId, el, row, table } from './dom.js';
import { fixed, fromFeet } from './units.js';
import { counted, dateWords, sentence } from './words.js';

/** @typedef {import('./partstypes.js').Units} Units */
/** @typedef {import('./partstypes.js').PartsSled} PartsSled */
/** @typedef {import('./partstypes.js').Geared} Geared */
/** @typedef {import('./partstypes.js').Days} Days */

/** @param {Geared} geared @param {Units} units */
export function showGeared(geared, units) {
  const { factor, factor_low: low, factor_high: high } = geared;
  byId('factor', HTMLParagraphElement).textContent = factor === null || low === null || high === null
    ? 'No gear is both measured and known by its parts, so the two cannot be compared yet.'
    : `Measured over geared is ${fixed(factor, 3)} for the whole sled (${fixed(low, 3)} to ${fixed(high, 3)})${geared.varies_with_speed ? ', at the middle gear; it runs evenly with gear speed' : ''}. That is the real rolling radius, and slip.`;
  byId('stands-out', HTMLUListElement).replaceChildren(...geared.stands_out.map((one) => el('li', {}, el('p', {}, sentence(one.detail)))));
  const feet = (/** @type {number|null} */ ft) => (ft === null ? 'not known' : `about ${fixed(fromFeet(ft, units), units === 'm' ? 1 : 0)}\u00a0${units}`);
  byId('geared-table', HTMLDivElement).replaceChildren(table('Geared and measured top-outs from full back',
    ['Gear', 'By the parts', 'Measured', 'Measured over geared', 'Not known yet'],
    geared.gears.map((gear) => row(gear.label, [feet(gear.geared_top_out_ft), feet(gear.measured_top_out_ft),
      gear.measured_over_geared === null ? '' : fixed(gear.measured_over_geared, 3), gear.missing.join(', ')]))));
}

/** @param {Days} days */
function ownWords(days) {
  if (days.own_low_pct === null || days.own_high_pct === null) return '';
  return ` By this sled’s own day-to-day differences alone, days lie between ${fixed(days.own_low_pct, 1)} and ${fixed(days.own_high_pct, 1)} %.`;
}

let edition = 0;

/** @param {PartsSled} sled @param {Days} days @param {Units} units */
export function showDays(sled, days, units) {
  byId('drift', HTMLParagraphElement).textContent = days.items.length === 0
    ? 'No test day yet.'
    : `${days.drift ? sentence(days.drift.detail) : 'The days show neither a trend nor a jump beyond what days differ anyway.'}${ownWords(days)}`;
  const drawn = days.items.length > 0;
  byId('days-drawing', HTMLDivElement).replaceChildren(...(drawn
    ? [picture(`/v1/sleds/${encodeURIComponent(sled.id)}/days.svg`, { units }, `How far each test day of ${sled.name} lies from its other days. The table below says the same.`, edition++)]
    : []));
  const verdicts = { 'as-usual': 'as usual', 'stands-off': 'stands off', alone: 'no other day to compare with' };
  const pm = (/** @type {number} */ value, /** @type {number|null} */ limit, /** @type {string} */ unit) => `${fixed(value, 1)}${limit === null ? '' : `, limits ± ${fixed(limit, 1)}`}\u00a0${unit}`;
  byId('days-table', HTMLDivElement).replaceChildren(...(drawn ? [table('Test days',
    ['Day', 'Readings', 'Offset', days.gear === null ? 'In distance' : `In gear ${days.gear}`, 'Verdict'],
    days.items.map((day) => row(day.day === day.measured_on ? dateWords(day.day) : `${day.day}, ${dateWords(day.measured_on)}`, [
      counted(day.readings, 'reading'), pm(day.offset_pct, day.limit_pct, '%'),
      day.offset_ft === null ? 'not known' : pm(fromFeet(day.offset_ft, units), day.limit_ft === null ? null : fromFeet(day.limit_ft, units), units),
      verdicts[day.verdict],
    ])))] : []));
}
