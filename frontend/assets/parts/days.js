// @ts-check
// How a sled's test days compare over the season.

import { dateWords } from '../lib/dates.js';
import { byId, el, row, table } from '../lib/dom.js';
import { picture } from '../lib/picture.js';
import { counted, isolated } from '../lib/text.js';
import { fixed, fromFeet } from '../lib/units.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Day, PartsData } from './types.js' */

/** @type {Record<Day['verdict'], string>} */
const VERDICTS = { 'as-usual': 'as usual', 'stands-off': 'stands off', alone: 'no other day to compare with' };
const MIN_FOR_DRIFT = 4; // days; the API's minimum

/** @param {PartsData} known @param {Units} units */
export function showDays({ sled, days }, units) {
  const { items, drift, gear } = days;
  const place = byId('days-table', HTMLDivElement);
  const driftText = byId('drift', HTMLParagraphElement);
  driftText.classList.toggle('found', drift !== null);
  if (items.length === 0) {
    driftText.textContent = 'No test day counts yet.';
    place.replaceChildren();
    return;
  }
  driftText.textContent = drift ? drift.detail : noDrift(items);
  const signed = (/** @type {number} */ value, /** @type {string} */ unit) =>
    `${value > 0 && Number(fixed(value, 1)) !== 0 ? '+' : ''}${fixed(value, 1)}\u00a0${unit}`;
  const limit = (/** @type {number} */ value, /** @type {string} */ unit) => `± ${fixed(value, 1)}\u00a0${unit}`;
  const feet = (/** @type {number|null} */ value, /** @type {(value: number, unit: string) => string} */ say) =>
    (value === null ? 'not known' : say(fromFeet(value, units), units));
  place.replaceChildren(
    picture(`/v1/sleds/${encodeURIComponent(sled.id)}/days.svg`, { units },
      `How far each of ${counted(items.length, 'test day')} of ${isolated(sled.name)} lies from what its other days say. ` +
      'The table below has the same numbers.', days),
    table(`The test days of ${isolated(sled.name)}`,
      ['Day', 'Readings', 'Off by', 'Limit', ...(gear === null ? [] : [`In gear ${gear}`, 'Limit']), 'Verdict'],
      items.map((day) => row(headOf(day), [
        String(day.readings), signed(day.offset_pct, '%'), day.limit_pct === null ? 'none' : limit(day.limit_pct, '%'),
        ...(gear === null ? [] : [feet(day.offset_ft, signed), day.limit_ft === null ? 'none' : feet(day.limit_ft, limit)]),
        day.verdict === 'stands-off' ? el('strong', {}, VERDICTS[day.verdict]) : VERDICTS[day.verdict],
      ], { class: day.verdict === 'stands-off' ? 'chosen' : '' }))),
    ...ownLimits(days).map((text) => el('p', {}, text)),
    el('p', { class: 'hint' },
      'Off by: from what the sled’s other days say, + later and − earlier. ' +
      'Beyond its limit a day stands off by more than days differ anyway; the fewer readings and days, the wider the limit.'));
}

/** @param {Day} day */
function headOf({ day, measured_on: date }) {
  return day === date ? dateWords(day) : el('div', {}, dateWords(date), el('small', {}, day));
}

/** The limits from this sled alone, beside those from the fleet. @param {PartsData['days']} days @returns {string[]} */
function ownLimits({ own_low_pct: low, own_high_pct: high }) {
  if (low === null || high === null) return [];
  return ['By this sled’s own differences from day to day alone, ' +
    `a day would stand off below ${fixed(low, 1)}\u00a0% or above ${fixed(high, 1)}\u00a0%.`];
}

/** @param {Day[]} items */
function noDrift(items) {
  const off = items.filter(({ verdict }) => verdict === 'stands-off').length;
  const days = off === 0 ? 'No day stands off.' : `${counted(off, 'day stands', 'days stand')} off.`;
  return items.length < MIN_FOR_DRIFT
    ? `${days} A trend or a jump is looked for from ${MIN_FOR_DRIFT} test days on.`
    : `${days} Neither a trend nor a jump shows beyond what days differ anyway.`;
}
