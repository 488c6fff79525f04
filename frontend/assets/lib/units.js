// @ts-check
// Feet and meters, pounds and kilograms, and rounded numbers. The API uses feet and pounds. Spaces between a number, its ± and its
// unit do not break.

/** @typedef {'ft'|'m'} Units */

// Exact: NIST Special Publication 811, Appendix B.
export const METERS_PER_FOOT = 0.3048;
// Exact: the same, Appendix B.8.
export const KG_PER_POUND = 0.45359237;

// A cookie, so that the server can prefetch in the units that the page will request.
const STORED_UNITS = 'evenpull-units';
const YEAR_S = 365 * 24 * 3600;

/** The units to show: from the link, else as chosen last on this device, else feet. @returns {Units} */
export function currentUnits() {
  const inLink = new URLSearchParams(location.search).get('units');
  if (inLink === 'ft' || inLink === 'm') return inLink;
  return document.cookie.split('; ').includes(`${STORED_UNITS}=m`) ? 'm' : 'ft';
}

/** @param {Units} units */
export function saveUnits(units) {
  document.cookie = `${STORED_UNITS}=${units}; path=/; max-age=${YEAR_S}; samesite=lax`;
}

/** @param {number} feet @param {Units} units */
export function fromFeet(feet, units) {
  return units === 'm' ? feet * METERS_PER_FOOT : feet;
}

/** @param {number} value @param {Units} units */
export function toFeet(value, units) {
  return units === 'm' ? value / METERS_PER_FOOT : value;
}

/** A number as typed, with a decimal point or comma; null when it is not one. @param {string} text @returns {number|null} */
export function parseNumber(text) {
  const plain = text.trim().replace(',', '.');
  if (!/^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain)) return null;
  return Number(plain);
}

/** A value with a number of decimals, with trailing zeros, never "-0". @param {number} value @param {number} decimals */
export function fixed(value, decimals) {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}

/**
 * The decimals of a value: none when its ± is a foot or more, else one. A tenth of a meter is a third of a foot, so meters get
 * one decimal more.
 * @param {number} plusMinusFt
 * @param {Units} units
 */
function decimalsFor(plusMinusFt, units) {
  const plusMinus = fromFeet(plusMinusFt, units);
  if (units === 'm') return plusMinus >= 10 ? 0 : plusMinus >= 0.1 ? 1 : 2;
  return plusMinus >= 1 ? 0 : 1;
}

/** The ± of a 95 % interval: half its width. @param {number} low @param {number} high */
export function plusMinus(low, high) {
  return (high - low) / 2;
}

/**
 * A value and its ± as rounded text, without the unit. The ± is never zero.
 * @param {number} valueFt
 * @param {number} plusMinusFt
 * @param {Units} units
 */
export function rounded(valueFt, plusMinusFt, units) {
  const decimals = decimalsFor(plusMinusFt, units);
  const pm = Math.max(fromFeet(plusMinusFt, units), 10 ** -decimals);
  return { value: fixed(fromFeet(valueFt, units), decimals), plusMinus: fixed(pm, decimals) };
}

/**
 * "276 ± 4 ft".
 * @param {number} valueFt
 * @param {number} plusMinusFt
 * @param {Units} units
 */
export function withPlusMinus(valueFt, plusMinusFt, units) {
  const text = rounded(valueFt, plusMinusFt, units);
  return `${text.value}\u00a0±\u00a0${text.plusMinus}\u00a0${units}`;
}

/**
 * "273 to 280 ft".
 * @param {number} lowFt
 * @param {number} highFt
 * @param {Units} units
 */
export function range(lowFt, highFt, units) {
  const decimals = decimalsFor(plusMinus(lowFt, highFt), units);
  return `${fixed(fromFeet(lowFt, units), decimals)}\u00a0to\u00a0${fixed(fromFeet(highFt, units), decimals)}\u00a0${units}`;
}

/** A distance without its ±, in whole feet or tenths of a meter. @param {number} feet @param {Units} units */
export function about(feet, units) {
  return `${fixed(fromFeet(feet, units), units === 'm' ? 1 : 0)}\u00a0${units}`;
}

/** A small difference, in tenths of a foot. @param {number} feet @param {Units} units */
export function finely(feet, units) {
  return `${fixed(fromFeet(feet, units), units === 'm' ? 2 : 1)}\u00a0${units}`;
}

/** A length as noted: up to two decimals, no trailing zeros. @param {number} feet @param {Units} units */
export function noted(feet, units) {
  return `${notedNumber(feet, units)}\u00a0${units}`;
}

/** The number of noted() alone, for a field. @param {number} feet @param {Units} units */
export function notedNumber(feet, units) {
  return String(Number(fromFeet(feet, units).toFixed(2)));
}

/** A box speed with its ±; empty when not known. @param {number|null} speed @param {number|null} low @param {number|null} high */
export function speedWords(speed, low, high) {
  if (speed === null || low === null || high === null) return '';
  const pm = Math.max(0.1, plusMinus(low, high)); // never zero
  return `${fixed(speed, 1)} ± ${fixed(pm, 1)}`;
}

/**
 * A weight: "14,000 lb". Rounded to tens where its ± is 100 or more, as the API's sentences are.
 * @param {number} pounds
 * @param {Units} units
 * @param {number} [plusMinusLb]
 */
export function weightWords(pounds, units, plusMinusLb = 0) {
  const scale = units === 'm' ? KG_PER_POUND : 1;
  const step = plusMinusLb * scale >= 100 ? 10 : 1;
  const size = String(Math.round(pounds * scale / step) * step).replace(/\B(?=(\d{3})+$)/g, ',');
  return `${size}\u00a0${units === 'm' ? 'kg' : 'lb'}`;
}

/** A weight as noted: up to two decimals, no trailing zeros. @param {number} pounds @param {Units} units */
export function weightNoted(pounds, units) {
  const [value, unit] = units === 'm' ? [pounds * KG_PER_POUND, 'kg'] : [pounds, 'lb'];
  return `${value.toLocaleString('en-US', { maximumFractionDigits: 2 })}\u00a0${unit}`;
}
