// @ts-check
// Reads lengths as people write them: 12.5, 9,90 m, 32 1/2, 12' 6", 32 ft 6 in, 6½", 381 cm. The server reads them in the same way
// (fleet.ParseLength).

import { METERS_PER_FOOT } from './units.js';

/** @import { Units } from './units.js' */

const INCHES_PER_FOOT = 12;
/** How many of a unit make a foot. @type {Record<string, number>} */
const PER_FOOT = {
  '\'': 1, 'ft': 1, 'foot': 1, 'feet': 1, '"': INCHES_PER_FOOT, 'in': INCHES_PER_FOOT, 'inch': INCHES_PER_FOOT, 'inches': INCHES_PER_FOOT,
  'm': METERS_PER_FOOT, 'meter': METERS_PER_FOOT, 'meters': METERS_PER_FOOT, 'metre': METERS_PER_FOOT, 'metres': METERS_PER_FOOT,
  'cm': 100 * METERS_PER_FOOT, 'mm': 1000 * METERS_PER_FOOT,
};
const QUANTITY = '(?:(\\d+\\.?\\d*|\\.\\d+)|(?:(\\d+)[- ]+)?(\\d+)/(\\d+))'; // 6.5, 6 1/2, 1/2
const ONE_LENGTH = new RegExp(`^${QUANTITY} ?([a-z]+|['"])?\\.?$`);
const FEET_AND_INCHES = new RegExp(`^(\\d+) ?(?:'|ft\\.?|feet|foot),? ?${QUANTITY} ?(?:"|in\\.?|inch|inches)?$`);
const ONE_COMMA = /^\d+,\d+$/;
const TWO_WAYS = /^[1-9]\d{0,2},\d{3}(?:[^\d,.]|$)/; // a decimal comma, or one between thousands

/**
 * A length in feet, unrounded; null when the text is not a length or can be read in two ways.
 * @param {string} text
 * @param {Units|'in'} units  of a number without a unit
 * @returns {number|null}
 */
export function parseLength(text, units) {
  if (TWO_WAYS.test(text.trim())) return null;
  const plain = text.toLowerCase()
    .replace(/[’‘′´`ʹ]/g, '\'').replace(/[”“″ʺ]|''/g, '"')
    .replace(/[¼½¾⅛⅜⅝⅞]/g, (sign) => ` ${sign.normalize('NFKC').replace('\u2044', '/')}`)
    .replace(/\s+/g, ' ').trim().replace(/(\d),(\d)/g, '$1.$2');
  const one = ONE_LENGTH.exec(plain);
  if (one) return feetOf(quantity(one.slice(1)) / PER_FOOT[one[5] ?? units]);
  const [, feet, ...inches] = FEET_AND_INCHES.exec(plain) ?? [];
  return feet !== undefined && quantity(inches) < INCHES_PER_FOOT ? Number(feet) + quantity(inches) / INCHES_PER_FOOT : null;
}

/**
 * The lengths in a list, each in feet, or null for a text that is no length: 10' 2", 10' 6"; or 10,2; 10,4 where commas are decimal.
 * @param {string} text
 * @param {Units} units  of numbers without a unit
 * @returns {{text: string, feet: number|null}[]}
 */
export function parseLengths(text, units) {
  return text.split(text.includes(';') ? ';' : /,\s+|,$|\n/).flatMap((part) => {
    const whole = { text: part.trim(), feet: parseLength(part, units) };
    // Without a space behind the comma, or with nothing but a space between.
    return whole.feet !== null || ONE_COMMA.test(whole.text) ? [whole]
      : part.split(/[,\s]+/).map((one) => ({ text: one, feet: parseLength(one, units) }));
  }).filter((one) => one.text !== '');
}

/** @param {number} feet  NaN for an unknown unit, not finite for a fraction of nothing */
function feetOf(feet) {
  return Number.isFinite(feet) ? feet : null;
}

/** @param {(string|undefined)[]} parts  a number; or a whole number, which may be missing, and a fraction */
function quantity([number, whole, over, under]) {
  return under === undefined ? Number(number) : Number(whole ?? 0) + Number(over) / Number(under);
}

/** Examples of valid lengths, for a fault. @param {Units} units */
export function lengthHelp(units) {
  return units === 'm'
    ? 'Write it like 3.81, or with its unit: 12\' 6", 12 ft 6 in.'
    : 'Write it like 12.5, 12\' 6", 12 ft 6 in or 3.81 m.';
}
