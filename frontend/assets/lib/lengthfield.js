// @ts-check
// Fields for a length with buttons that step along the rail marks and, where there is room for it, an echo of what was understood.

import { lengthHelp } from './lengths.js';
import { fillQuantity, quantityIn, switchField } from './quantities.js';
import { notedNumber, parseNumber, toFeet } from './units.js';

/** @import { Units } from './units.js' */

// Rail marks are in feet. A step in meters is about a third of a foot.
const STEP_M = 0.1;

/** A length in a link, always in feet; 0 when invalid. @param {URLSearchParams} link @param {string} [name] */
export function startIn(link, name = 'start') {
  const start = Number(link.get(name) ?? 0);
  return Number.isFinite(start) && start > 0 ? start : 0;
}

/** A start position for a link. @param {number} feet */
export function startInLink(feet) {
  return String(Number(feet.toFixed(4)));
}

/** A length that was set is returned exactly until edited. */
export class LengthField {
  /** @type {Element|null} */
  #place;
  #echo;
  /** Distance between the marks on the rails, ft. */
  railMarkFt = 0.5;

  /** @param {HTMLInputElement} input  with its buttons, units and output inside .length, or beside it @param {Units} units */
  constructor(input, units) {
    this.input = input;
    this.units = units;
    input.dataset.kind = 'distance';
    this.#place = input.closest('.length') ?? input.parentElement;
    this.#echo = this.#place?.querySelector('output');
    for (const button of this.#place?.querySelectorAll('button[data-step]') ?? []) {
      button.addEventListener('click', () => this.#step(Number(button.getAttribute('data-step'))));
    }
    input.addEventListener('input', () => this.#sayAgain());
    switchField(input, units, units);
    this.#sayAgain();
  }

  /** In feet; undefined when empty, null when not a length. @returns {number|undefined|null} */
  get feet() {
    return quantityIn(this.input, this.units);
  }

  set feet(feet) {
    fillQuantity(this.input, feet ?? undefined, this.units);
    this.#sayAgain();
  }

  /** The fault for a text that is no length. */
  get fault() {
    return `“${this.input.value.trim()}” is no length. ${lengthHelp(this.units)}`;
  }

  /** Converts the field to other units. Text that is not a length stays. @param {Units} units */
  setUnits(units) {
    switchField(this.input, this.units, units);
    this.units = units;
    this.#sayAgain();
  }

  /** The step of the buttons, ft. */
  get step() {
    return this.railMarkFt;
  }

  /** Steps to the next mark. @param {number} direction */
  #step(direction) {
    const marks = (this.feet ?? 0) / this.step;
    const tolerance = 1e-6; // for marks converted from meters
    const next = direction > 0 ? Math.floor(marks + tolerance) + 1 : Math.ceil(marks - tolerance) - 1;
    this.feet = Math.max(0, next * this.step);
    for (const type of ['input', 'change']) this.input.dispatchEvent(new Event(type, { bubbles: true }));
  }

  /** Shows the parsed value unless a plain number was typed. */
  #sayAgain() {
    if (!this.#echo) return;
    const { feet, input, units } = this;
    const plain = feet === undefined || (feet !== null && parseNumber(input.value) !== null);
    this.#echo.textContent = plain ? '' : feet === null ? '?' : `= ${notedNumber(feet, units)}\u00a0${units}`;
  }
}

/** A start position: 0 when empty. */
export class StartField extends LengthField {
  /** @param {HTMLInputElement} input @param {Units} units */
  constructor(input, units) {
    super(input, units);
    this.feet = 0;
  }

  /** In feet; null when not a length. @returns {number|null} */
  get feet() {
    const feet = super.feet;
    return feet === undefined ? 0 : feet;
  }

  set feet(feet) {
    super.feet = feet ?? 0;
  }

  get fault() {
    return `That is no start position. ${lengthHelp(this.units)}`;
  }

  get step() {
    return this.units === 'm' ? toFeet(STEP_M, 'm') : this.railMarkFt;
  }
}
