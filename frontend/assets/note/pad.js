// @ts-check
// The number pad of the page itself: keys that gloves hit, with the marks for feet and inches, in a place that stays.
// While it is there, the phone's own keys stay away. What it types goes into the length that was touched last.

import { el } from '../lib/dom.js';
import { load, save } from '../lib/storage.js';

const STORED = 'evenpull.note.pad';

/** @type {{text: string, type?: string, action?: 'back'|'clear', name?: string, area: string}[]} */
const KEYS = [
  ...[...'1234567890'].map((digit) => ({ text: digit, type: digit, area: `k${digit}` })),
  { text: '.', type: '.', name: 'Decimal point', area: 'kp' },
  { text: '⌫', action: 'back', name: 'Take back one', area: 'kb' },
  { text: 'ft', type: '\'', name: 'ft, feet', area: 'kf' },
  { text: 'in', type: '"', name: 'in, inches', area: 'ki' },
  { text: 'Clear', action: 'clear', name: 'Clear the field', area: 'kc' },
];

export class NumberPad {
  #place;
  #switch;
  #fields;
  #target;

  /**
   * @param {HTMLElement} place
   * @param {HTMLButtonElement} button  switches between the pad and the device's own keys
   * @param {HTMLInputElement[]} fields  that it types into; the first one to begin with
   */
  constructor(place, button, fields) {
    this.#place = place;
    this.#switch = button;
    this.#fields = fields;
    this.#target = fields[0];
    // The keyboard types by itself: none of these is a stop for the tab key.
    place.append(...KEYS.map((key) => el('button', { type: 'button', tabindex: '-1', class: key.area, 'aria-label': key.name, onclick: () => this.#press(key) }, key.text)));
    // The field keeps the focus, and with it the caret.
    place.addEventListener('pointerdown', (event) => event.preventDefault());
    for (const field of fields) field.addEventListener('focus', () => this.#aim(field));
    button.addEventListener('click', () => {
      const shown = !this.shown;
      save(() => localStorage, STORED, shown);
      this.#show(shown);
    });
    this.#show(load(() => localStorage, STORED) ?? matchMedia('(pointer: coarse), (max-width: 40rem)').matches);
    this.#aim(this.#target);
  }

  /** Whether it is there. */
  get shown() {
    return !this.#place.hidden;
  }

  /** @param {boolean} shown */
  #show(shown) {
    this.#place.hidden = !shown;
    for (const field of this.#fields) field.inputMode = shown ? 'none' : 'decimal';
    this.#switch.textContent = shown ? 'Use this device’s own keys' : 'Show the number pad';
  }

  /** @param {HTMLInputElement} field */
  #aim(field) {
    this.#target = field;
    for (const one of this.#fields) one.classList.toggle('aimed', one === field);
  }

  /** @param {{type?: string, action?: 'back'|'clear'}} key */
  #press({ type, action }) {
    const field = this.#target.checkVisibility() ? this.#target : this.#fields[0];
    if (document.activeElement !== field) field.focus({ preventScroll: true });
    const from = field.selectionStart ?? field.value.length, to = field.selectionEnd ?? from;
    if (action === 'clear') field.value = '';
    else if (action === 'back') field.setRangeText('', from === to ? Math.max(0, from - 1) : from, to, 'end');
    else if (type) field.setRangeText(type, from, to, 'end');
    field.dispatchEvent(new Event('input', { bubbles: true }));
  }
}
