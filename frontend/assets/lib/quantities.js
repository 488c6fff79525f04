// @ts-check
// Number fields that follow the units switch: lengths, speeds, decelerations, pressures. Values are in the API's units. A value
// that was filled in and not edited is returned exactly.

import { numberIn } from './forms.js';
import { fromFeet, METERS_PER_FOOT } from './units.js';

/** @import { Fault } from './api.js' */
/** @import { Units } from './units.js' */

/** @typedef {'length'|'speed'|'deceleration'|'pressure'} Kind */

// Exact: NIST Special Publication 811, Appendix B.8: a mile is 5280 ft of 0.3048 m.
const KM_PER_MILE = 5280 * METERS_PER_FOOT / 1000;
// A pound-force of 4.448 221 615 260 5 N on (0.0254 m)², in units of 100 kPa: the same, Appendix B.
const BAR_PER_PSI = 4.4482216152605 / 0.0254 ** 2 / 1e5;

/** @type {Record<Kind, {ft: string, m: string, inMetric: number}>} */
const KINDS = {
  length: { ft: 'ft', m: 'm', inMetric: METERS_PER_FOOT },
  speed: { ft: 'mph', m: 'km/h', inMetric: KM_PER_MILE },
  deceleration: { ft: 'ft/s²', m: 'm/s²', inMetric: METERS_PER_FOOT },
  pressure: { ft: 'psi', m: 'bar', inMetric: BAR_PER_PSI },
};

/** @param {Kind} kind @param {Units} units */
export function unitName(kind, units) {
  return KINDS[kind][units];
}

/**
 * A length of a part, to three decimals: "10.56 ft".
 * @param {number} feet
 * @param {Units} units
 */
export function finelyNoted(feet, units) {
  return `${Number(fromFeet(feet, units).toFixed(3))}\u00a0${units}`;
}

/**
 * A speed or a pressure as noted; converted values to one or two decimals: "4 mph", "6.4 km/h", "5.86 bar".
 * @param {'speed'|'pressure'} kind
 * @param {number} value  in the API's unit
 * @param {Units} units
 */
export function quantityWords(kind, value, units) {
  const shown = units === 'm' ? (value * KINDS[kind].inMetric).toFixed(kind === 'pressure' ? 2 : 1) : value.toPrecision(12);
  return `${Number(shown)}\u00a0${unitName(kind, units)}`;
}

/** The value of one shown unit in the API's unit. @param {HTMLInputElement} input @param {Units} units */
function scaleOf(input, units) {
  const kind = /** @type {Kind|undefined} */ (input.dataset.kind);
  return kind && units === 'm' ? KINDS[kind].inMetric : 1;
}

/**
 * The text of a value in its field: as noted; converted values to four decimals.
 * @param {HTMLInputElement} input
 * @param {number|undefined} value
 * @param {Units} units
 */
function textFor(input, value, units) {
  if (value === undefined) return '';
  return String(input.dataset.kind ? Number((value * scaleOf(input, units)).toFixed(4)) : value);
}

/**
 * Fills a field. With keepTyped, the typed text stays and only the value is remembered.
 * @param {HTMLInputElement} input
 * @param {number|undefined} value  in the API's unit; undefined empties the field
 * @param {Units} units
 * @param {boolean} [keepTyped]
 */
export function fillQuantity(input, value, units, keepTyped = false) {
  const text = textFor(input, value, units);
  if (!keepTyped) input.value = text;
  input.dataset.shown = text;
  input.dataset.exact = value === undefined ? '' : String(value);
}

/** Whether the field was edited after it was filled. @param {HTMLInputElement} input */
export function isEdited(input) {
  return input.value.trim() !== (input.dataset.shown ?? '');
}

/**
 * The number in a field, in the API's unit; undefined when empty.
 * @param {HTMLInputElement} input
 * @param {Units} units
 * @param {Fault[]} faults
 */
export function readQuantity(input, units, faults) {
  if (!isEdited(input)) return input.dataset.exact ? Number(input.dataset.exact) : undefined;
  const value = numberIn(input, faults);
  return value === undefined ? undefined : value / scaleOf(input, units);
}

/**
 * Converts all quantity fields of a form, and the units beside them.
 * @param {HTMLElement} form
 * @param {Units} before
 * @param {Units} now
 */
export function switchFields(form, before, now) {
  for (const input of form.querySelectorAll('input[data-kind]')) {
    if (!(input instanceof HTMLInputElement)) continue;
    const beside = input.parentElement?.querySelector('[data-kind-unit]');
    if (beside) beside.textContent = unitName(/** @type {Kind} */ (input.dataset.kind), now);
    if (before === now) continue;
    const typed = isEdited(input);
    const value = readQuantity(input, before, []);
    const exact = input.dataset.exact ? Number(input.dataset.exact) : undefined;
    if (!typed) fillQuantity(input, exact, now);
    else {
      fillQuantity(input, exact, now, true);
      if (value !== undefined) input.value = textFor(input, value, now); // text that is not a number stays
    }
  }
}
