// @ts-check
// Number fields that follow the units switch: lengths, weights, speeds, decelerations, pressures. Values are in the API's units. A
// value that was filled in or converted and not edited since is returned exactly.

import { el } from './dom.js';
import { lengthHelp, parseLength } from './lengths.js';
import { fromFeet, KG_PER_POUND, METERS_PER_FOOT, parseNumber } from './units.js';

/** @import { Fault } from './api.js' */
/** @import { Units } from './units.js' */

/**
 * A length is of a part, a distance coarser, a pitch in inches.
 * @typedef {'distance'|'length'|'pitch'|'weight'|'speed'|'deceleration'|'pressure'} Kind
 */

// Exact: NIST Special Publication 811, Appendix B.8: a mile is 5280 ft of 0.3048 m.
const KM_PER_MILE = 5280 * METERS_PER_FOOT / 1000;
// A pound-force of 4.448 221 615 260 5 N on (0.0254 m)², in units of 100 kPa: the same, Appendix B.
const BAR_PER_PSI = 4.4482216152605 / 0.0254 ** 2 / 1e5;
// 12,000 is twelve thousand of whatever has no thousandths on a scale.
const THOUSANDS = /^\d{1,3}(?:,\d{3})+(?:\.\d*)?$/;
const OWN_UNIT = / ?(lbs?|pounds?|kg)\.?$/i;

/** @type {Record<Kind, {ft: string, m: string, inMetric: number, decimals: number}>} */
const KINDS = {
  distance: { ft: 'ft', m: 'm', inMetric: METERS_PER_FOOT, decimals: 2 },
  length: { ft: 'ft', m: 'm', inMetric: METERS_PER_FOOT, decimals: 4 },
  weight: { ft: 'lb', m: 'kg', inMetric: KG_PER_POUND, decimals: 1 },
  pitch: { ft: 'in', m: 'in', inMetric: 1, decimals: 4 }, // chains are made by the inch everywhere
  speed: { ft: 'mph', m: 'km/h', inMetric: KM_PER_MILE, decimals: 4 },
  deceleration: { ft: 'ft/s²', m: 'm/s²', inMetric: METERS_PER_FOOT, decimals: 4 },
  pressure: { ft: 'psi', m: 'bar', inMetric: BAR_PER_PSI, decimals: 4 },
};

/** @param {Kind} kind @param {Units} units */
export function unitName(kind, units) {
  return KINDS[kind][units];
}

/** A length of a part, to three decimals: "10.56 ft". @param {number} feet @param {Units} units */
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

/** @param {HTMLInputElement} input */
function isLength(input) {
  return kindOf(input) === 'distance' || kindOf(input) === 'length';
}

/** A length; with data-signed one may be below zero. @param {HTMLInputElement} input @param {Units} units */
function signedLength(input, units) {
  const [sign] = 'signed' in input.dataset ? /^\s*[-−–]\s*/.exec(input.value) ?? [''] : [''];
  const feet = parseLength(input.value.slice(sign.length), units);
  return sign && feet !== null ? -feet : feet;
}

/** A weight in pounds, as typed: 12000, 12,000, 4850 kg; null when it is none. @param {string} text @param {Units} units */
function parseWeight(text, units) {
  const own = OWN_UNIT.exec(text.trim())?.[1].toLowerCase();
  const plain = text.trim().replace(OWN_UNIT, '');
  const number = parseNumber(THOUSANDS.test(plain) ? plain.replaceAll(',', '') : plain);
  return number === null ? null : number / ((own ? own === 'kg' : units === 'm') ? KG_PER_POUND : 1);
}

/** @param {HTMLInputElement} input */
function kindOf(input) {
  return /** @type {Kind|undefined} */ (input.dataset.kind);
}

/** The value of one shown unit in the API's unit. @param {HTMLInputElement} input @param {Units} units */
function scaleOf(input, units) {
  const kind = kindOf(input);
  return kind && units === 'm' ? KINDS[kind].inMetric : 1;
}

/**
 * The text of a value in its field: as noted; converted values to the decimals of their kind.
 * @param {HTMLInputElement} input
 * @param {number|undefined} value
 * @param {Units} units
 */
function textFor(input, value, units) {
  if (value === undefined) return '';
  const kind = kindOf(input);
  return String(kind ? Number((value * scaleOf(input, units)).toFixed(KINDS[kind].decimals)) : value);
}

/** Sets the text of a value, and remembers what it stands for. @type {typeof fillQuantity} */
function put(input, value, units) {
  input.value = textFor(input, value, units);
  Object.assign(input.dataset, { text: input.value, value: value ?? '' });
}

/**
 * Fills a field. With keepTyped, the typed text stays and only the value is remembered.
 * @param {HTMLInputElement} input
 * @param {number|undefined} value  in the API's unit; undefined empties the field
 * @param {Units} units
 * @param {boolean} [keepTyped]
 */
export function fillQuantity(input, value, units, keepTyped = false) {
  if (!keepTyped) put(input, value, units);
  Object.assign(input.dataset, { shown: textFor(input, value, units), exact: value ?? '' });
}

/** Whether the field was edited after it was filled. @param {HTMLInputElement} input */
export function isEdited(input) {
  return input.value.trim() !== (input.dataset.shown ?? '');
}

/**
 * The value in a field, in the API's unit; undefined when empty, null when it is none.
 * @param {HTMLInputElement} input
 * @param {Units} units
 * @returns {number|undefined|null}
 */
export function quantityIn(input, units) {
  const { text, value } = input.dataset;
  if (value && input.value === text) return Number(value);
  if (input.value.trim() === '') return undefined;
  if (isLength(input)) return signedLength(input, units);
  if (kindOf(input) === 'weight') return parseWeight(input.value, units);
  if (kindOf(input) === 'pitch') return inches(parseLength(input.value, 'in'));
  const number = parseNumber(input.value);
  return number === null ? null : number / scaleOf(input, units);
}

/** How to write what a field takes; empty where it is a plain number. @param {Kind|undefined} kind @param {Units} units */
function helpFor(kind, units) {
  if (kind === 'pitch') return 'Write it like 1.75, 1 3/4 or 44.45 mm.';
  return kind === 'distance' || kind === 'length' ? lengthHelp(units) : '';
}

/** @param {number|null} feet */
function inches(feet) {
  return feet && Number((feet * 12).toPrecision(12));
}

/**
 * The value in a field, in the API's unit; undefined when empty. Adds a fault when it is none.
 * @param {HTMLInputElement} input
 * @param {Units} units
 * @param {Fault[]} faults
 */
export function readQuantity(input, units, faults) {
  const value = quantityIn(input, units);
  if (value !== null) return value;
  const text = input.value.trim();
  const help = helpFor(kindOf(input), units);
  faults.push({ at: input.name, detail: help ? `“${text}” is no length. ${help}` : `“${text}” is not a number.` });
  return undefined;
}

/**
 * Converts a field, and the unit beside it. Text that is no value stays.
 * @param {HTMLInputElement} input
 * @param {Units} before
 * @param {Units} now
 */
export function switchField(input, before, now) {
  const beside = (input.closest('.length') ?? input.parentElement)?.querySelector('[data-unit]');
  const kind = kindOf(input);
  if (beside && kind) beside.textContent = (beside.textContent ?? '').replace(/^\S*/, unitName(kind, now));
  if (before === now) return;
  const value = quantityIn(input, before);
  const exact = input.dataset.exact ? Number(input.dataset.exact) : undefined;
  const typed = isEdited(input);
  fillQuantity(input, exact, now, typed);
  if (typed && value !== null) put(input, value, now);
}

/**
 * Converts all quantity fields of a form, and the units beside them.
 * @param {HTMLElement} form
 * @param {Units} before
 * @param {Units} now
 */
export function switchFields(form, before, now) {
  for (const input of form.querySelectorAll('input[data-kind]')) switchField(/** @type {HTMLInputElement} */ (input), before, now);
}

/**
 * The control for a quantity.
 * @param {Record<string, string>} attributes  of the input
 * @param {Kind} kind
 * @param {string} [more]  behind the unit
 */
export function quantityInput(attributes, kind, more = '') {
  return el('div', { class: 'with-unit' },
    el('input', { inputmode: 'decimal', autocomplete: 'off', 'data-kind': kind, ...attributes }),
    el('span', { 'data-unit': true }, unitName(kind, 'ft') + more));
}
