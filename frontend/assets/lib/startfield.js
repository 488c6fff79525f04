// @ts-check
// The field for a start position: typed, or stepped along the rail marks with buttons.

import { lengthHelp, parseLength } from './lengths.js';
import { notedNumber, toFeet } from './units.js';

/** @import { Units } from './units.js' */

// Rail marks are in feet. A step in meters is about a third of a foot.
const STEP_M = 0.1;

/** The start position in a link, always in feet; 0 when invalid. @param {URLSearchParams} link */
export function startIn(link) {
  const start = Number(link.get('start') ?? 0);
  return Number.isFinite(start) && start > 0 ? start : 0;
}

/** A start position for a link. @param {number} feet */
export function startInLink(feet) {
  return String(Number(feet.toFixed(4)));
}

export class StartField {
  #input;
  #units;
  #feet = 0;
  #text = '0';
  /** Distance between the marks on the rails, ft. */
  railMarkFt = 0.5;

  /**
   * @param {HTMLInputElement} input  inside a .stepper with its two buttons and its unit
   * @param {Units} units
   */
  constructor(input, units) {
    this.#input = input;
    this.#units = units;
    for (const button of input.parentElement?.querySelectorAll('button[data-step]') ?? []) {
      button.addEventListener('click', () => this.#step(Number(button.getAttribute('data-step'))));
    }
    this.setUnits(units);
  }

  /** The position in feet; null when the text is not a length. @returns {number|null} */
  get feet() {
    if (this.#input.value === this.#text) return this.#feet; // not edited: exact
    if (this.#input.value.trim() === '') return 0;
    return parseLength(this.#input.value, this.#units);
  }

  /** The fault for such a text. */
  get fault() {
    return `That is no start position. ${lengthHelp(this.#units)}`;
  }

  set feet(feet) {
    this.#feet = feet ?? 0;
    this.#text = notedNumber(this.#feet, this.#units);
    this.#input.value = this.#text;
  }

  /** @param {Units} units */
  setUnits(units) {
    const feet = this.feet;
    this.#units = units;
    this.feet = feet;
    for (const label of this.#input.parentElement?.querySelectorAll('[data-unit]') ?? []) label.textContent = units;
  }

  /** @param {number} direction */
  #step(direction) {
    const step = this.#units === 'm' ? toFeet(STEP_M, 'm') : this.railMarkFt;
    const marks = Math.round((this.feet ?? 0) / step) + direction;
    this.feet = Math.max(0, marks * step);
    this.#input.dispatchEvent(new Event('input', { bubbles: true }));
    this.#input.dispatchEvent(new Event('change', { bubbles: true }));
  }
}
