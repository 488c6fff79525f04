// @ts-check
// Lengths as people write them: 12.5, 12,5, 12' 6", 12 ft 6 in, 6 1/2 in, 3.81 m; and a field for them.

import { notedNumber, toFeet } from './units.js';

/** @import { Units } from './units.js' */

const INCHES_PER_FOOT = 12;
const NUMBER = '(\\d+(?:\\.\\d*)?|\\.\\d+)';
const FRACTION = '(?:(\\d+(?:\\.\\d*)?|\\.\\d+)(?:\\s*[-\\s]\\s*(\\d+)/(\\d+))?|(\\d+)/(\\d+))'; // "6", "6 1/2", "1/2"
const FOOT = "(?:'|ft\\.?|feet|foot)";
const INCH = '(?:"|in\\.?|inch|inches)';
const PATTERNS = {
  plain: new RegExp(`^${NUMBER}$`),
  meters: new RegExp(`^${NUMBER}\\s*(?:m|met(?:er|re)s?)$`),
  centimeters: new RegExp(`^${NUMBER}\\s*cm$`),
  feet: new RegExp(`^${NUMBER}\\s*${FOOT}$`),
  feetAndInches: new RegExp(`^(\\d+)\\s*${FOOT}\\s*,?\\s*${FRACTION}\\s*${INCH}?$`),
  inches: new RegExp(`^${FRACTION}\\s*${INCH}$`),
};

/**
 * A length in feet, unrounded; null when the text is not a length.
 * @param {string} text
 * @param {Units} units  of a number without a unit
 * @returns {number|null}
 */
export function parseLength(text, units) {
  const plain = normalized(text);
  const [, number] = PATTERNS.plain.exec(plain) ?? [];
  if (number !== undefined) return toFeet(Number(number), units);
  const [, meters] = PATTERNS.meters.exec(plain) ?? [];
  if (meters !== undefined) return toFeet(Number(meters), 'm');
  const [, centimeters] = PATTERNS.centimeters.exec(plain) ?? [];
  if (centimeters !== undefined) return toFeet(Number(centimeters) / 100, 'm');
  const [, feet] = PATTERNS.feet.exec(plain) ?? [];
  if (feet !== undefined) return Number(feet);
  const both = PATTERNS.feetAndInches.exec(plain);
  if (both) {
    const inches = inchesOf(both.slice(2));
    return inches !== null && inches < INCHES_PER_FOOT ? Number(both[1]) + inches / INCHES_PER_FOOT : null;
  }
  const inches = inchesOf((PATTERNS.inches.exec(plain) ?? []).slice(1));
  return inches === null ? null : inches / INCHES_PER_FOOT;
}

/** Unifies the marks for feet and inches, the decimal separator and the fractions. @param {string} text */
function normalized(text) {
  return text.trim().toLowerCase()
    .replace(/[\u00a0\u2009\u202f\s]+/g, ' ')
    .replace(/½/g, ' 1/2').replace(/¼/g, ' 1/4').replace(/¾/g, ' 3/4')
    .replace(/[’‘′´`ʹ]/g, "'").replace(/[”“″ʺ]|''/g, '"')
    .replace(/(\d),(\d)/g, '$1.$2')
    .trim();
}

/** @param {(string|undefined)[]} parts  of FRACTION: whole, numerator, denominator; or numerator and denominator alone */
function inchesOf([whole, over, under, only, of]) {
  if (whole !== undefined) return Number(whole) + (over === undefined ? 0 : divided(over, under));
  if (only !== undefined) return divided(only, of);
  return null;
}

/** @param {string} over @param {string|undefined} under  gives NaN when zero */
function divided(over, under) {
  return Number(under) > 0 ? Number(over) / Number(under) : NaN;
}

/** Examples of valid lengths, for a fault. @param {Units} units */
export function lengthHelp(units) {
  return units === 'm'
    ? 'Write it like 3.81, or with its unit: 12\' 6", 12 ft 6 in.'
    : 'Write it like 12.5, 12\' 6", 12 ft 6 in or 3.81 m.';
}

/** A field for a length. A length that was set is returned exactly until edited. */
export class LengthField {
  #units;
  #feet = /** @type {number|undefined} */ (undefined);
  #shown = '';
  #echo;
  /** Step of the − and + buttons, ft. */
  stepFt = 0.5;

  /** @param {HTMLInputElement} input @param {Units} units */
  constructor(input, units) {
    this.input = input;
    this.#units = units;
    const row = input.closest('.length');
    this.#echo = row?.querySelector('output');
    for (const button of row?.querySelectorAll('button[data-step]') ?? []) {
      button.addEventListener('click', () => this.#step(Number(button.getAttribute('data-step'))));
    }
    input.addEventListener('input', () => this.#sayAgain());
    this.setUnits(units);
  }

  /** In feet; undefined when empty, null when not a length. @returns {number|undefined|null} */
  get feet() {
    const text = this.input.value.trim();
    if (text === '') return undefined;
    if (this.#feet !== undefined && this.input.value === this.#shown) return this.#feet;
    return parseLength(text, this.#units);
  }

  set feet(feet) {
    this.#feet = feet ?? undefined;
    this.#shown = typeof feet === 'number' ? notedNumber(feet, this.#units) : '';
    this.input.value = this.#shown;
    this.#sayAgain();
  }

  /** Converts the field to other units. Text that is not a length stays. @param {Units} units */
  setUnits(units) {
    const feet = this.feet;
    const others = units !== this.#units;
    this.#units = units;
    if (others && typeof feet === 'number') this.feet = feet;
    for (const label of this.input.closest('.length')?.querySelectorAll('[data-unit]') ?? []) label.textContent = units;
    this.#sayAgain();
  }

  /** Steps to the next mark. @param {number} direction */
  #step(direction) {
    const marks = (this.feet ?? 0) / this.stepFt;
    const tolerance = 1e-6; // for marks converted from meters
    const next = direction > 0 ? Math.floor(marks + tolerance) + 1 : Math.ceil(marks - tolerance) - 1;
    this.feet = Math.max(0, next * this.stepFt);
    this.input.dispatchEvent(new Event('input', { bubbles: true }));
  }

  /** Shows the parsed value unless a plain number was typed. */
  #sayAgain() {
    if (!this.#echo) return;
    const feet = this.feet;
    const plain = PATTERNS.plain.test(normalized(this.input.value));
    const parsed = feet === null ? '?' : `= ${notedNumber(feet ?? 0, this.#units)}\u00a0${this.#units}`;
    this.#echo.textContent = plain || feet === undefined ? '' : parsed;
  }
}
