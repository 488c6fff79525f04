// @ts-check
// Parses single cells of an upload: numbers, lengths, dates, how a pull ended. Pure functions.

import { parseLength } from '../../lib/lengths.js';
import { fromFeet, parseNumber } from '../../lib/units.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Ended } from '../../model/types.js' */

/**
 * A value for the API, or what is wrong with the cell.
 * @typedef {{value: string, wrong?: undefined}|{value?: undefined, wrong: string}} Read
 */

/** Which number comes first in 9/5/2026. @typedef {'day'|'month'} First */

// "1,250" is ambiguous, except in a file with semicolons, which has decimal commas.
const THOUSANDS = /^\d{1,3}(,\d{3})+$/;

/** @param {string} cell @param {string} separator  of the file's columns @returns {Read} */
export function readNumber(cell, separator) {
  const text = cell.replace(/\u00a0/g, ' ').trim();
  if (separator !== ';' && THOUSANDS.test(text)) {
    return { wrong: `“${text}” can be read in two ways. Write ${text.replace(/,/g, '')}, or ${text.replace(',', '.')}.` };
  }
  const value = parseNumber(text);
  return value === null ? { wrong: `“${text}” is not a number.` } : { value: text.replace(',', '.').replace(/^\+/, '') };
}

/**
 * A length in the units of its column. A plain number stays as written, to avoid rounding.
 * @param {string} cell @param {Units} units @param {string} separator @returns {Read}
 */
export function readLength(cell, units, separator) {
  const plain = readNumber(cell, separator);
  if (plain.value !== undefined || THOUSANDS.test(cell.trim())) return plain;
  const feet = parseLength(cell, units);
  return feet === null
    ? { wrong: `“${cell.trim()}” is no length. Write it like 12.5, 12' 6" or 3.81 m.` }
    : { value: String(fromFeet(feet, units)) };
}

const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];
const ISO = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?$/;
const NUMBERS = /^(\d{1,2})[-/. ]+(\d{1,2})[-/. ]+(\d{4}|\d{2})$/;
const DAY_FIRST = /^(\d{1,2})(?:st|nd|rd|th)?[-/. ]+([a-z]{3,9})\.?[-/., ]+(\d{4}|\d{2})$/;
const MONTH_FIRST = /^([a-z]{3,9})\.?[-/. ]+(\d{1,2})(?:st|nd|rd|th)?[-/., ]+(\d{4}|\d{2})$/;

/** Finds the order of day and month from all dates of a file. */
export class DateOrder {
  #day = false;
  #month = false;
  #either = '';

  /** @param {string} cell */
  see(cell) {
    const [, a, b] = NUMBERS.exec(cell.trim()) ?? [];
    if (a === undefined || a === b) return;
    if (Number(a) > 12) this.#day = true;
    else if (Number(b) > 12) this.#month = true;
    else if (Number(a) !== Number(b)) this.#either ||= cell.trim();
  }

  /**
   * The order that the file implies. Unclear when its rows imply both or neither and some dates are ambiguous.
   * @returns {First|'unclear'|'any'}  any: no date is ambiguous
   */
  get first() {
    if (!this.#either) return 'any';
    if (this.#day !== this.#month) return this.#day ? 'day' : 'month';
    return 'unclear';
  }

  /** An ambiguous date; empty when there is none. */
  get example() {
    return this.#either;
  }
}

/** @param {string} cell @param {First} first @returns {Read} */
export function readDate(cell, first) {
  const text = cell.trim().toLowerCase();
  const iso = ISO.exec(text);
  if (iso) return dateOf(cell, Number(iso[1]), Number(iso[2]), Number(iso[3]));
  const numbers = NUMBERS.exec(text);
  if (numbers) {
    const [a, b] = [Number(numbers[1]), Number(numbers[2])];
    const dayFirst = a > 12 || (b <= 12 && first === 'day');
    return dateOf(cell, yearOf(numbers[3]), dayFirst ? b : a, dayFirst ? a : b);
  }
  const dayFirst = DAY_FIRST.exec(text);
  if (dayFirst) return dateOf(cell, yearOf(dayFirst[3]), monthOf(dayFirst[2]), Number(dayFirst[1]));
  const monthFirst = MONTH_FIRST.exec(text);
  if (monthFirst) return dateOf(cell, yearOf(monthFirst[3]), monthOf(monthFirst[1]), Number(monthFirst[2]));
  return { wrong: `“${cell.trim()}” is no date. Write it like 2026-05-09 or May 9, 2026.` };
}

/** @param {string} text  two digits mean this century */
function yearOf(text) {
  return text.length === 2 ? 2000 + Number(text) : Number(text);
}

/** @param {string} name  1 to 12, 0 for no month */
function monthOf(name) {
  return MONTHS.indexOf(name.slice(0, 3)) + 1;
}

/** @param {string} cell @param {number} year @param {number} month @param {number} day @returns {Read} */
function dateOf(cell, year, month, day) {
  const date = new Date(Date.UTC(year, month - 1, day));
  const real = date.getUTCFullYear() === year && date.getUTCMonth() === month - 1 && date.getUTCDate() === day;
  return real ? { value: date.toISOString().slice(0, 10) } : { wrong: `There is no day “${cell.trim()}”.` };
}

/** @type {[Ended, RegExp][]} */
const ENDINGS = [
  ['past-top', /\bpast\b|\bbeyond\b|\bunmarked\b/],
  ['stopped-short', /\bshort\b/],
  ['stated', /\bstated\b|\bword\b|\bsaid\b|\bestimate/],
  ['topped-out', /\btop(ped)?\b|\bmarked\b/],
];

/** @param {string} cell @returns {Read} */
export function readEnded(cell) {
  const text = cell.trim().toLowerCase().replace(/[-_]/g, ' ');
  const found = ENDINGS.find(([, says]) => says.test(text));
  return found
    ? { value: found[0] }
    : { wrong: `“${cell.trim()}” says nothing known of how it ended. Write topped out, stopped short, past the top, or stated.` };
}
