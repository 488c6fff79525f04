// @ts-check
// A number pad with large keys and marks for feet and inches. While it is shown, the phone's keyboard stays hidden. It types into
// the length field that was focused last.

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
   * @param {HTMLButtonElement} button  switches between the pad and the device's keyboard
   * @param {HTMLInputElement[]} fields  to type into, initially the first
   */
  constructor(place, button, fields) {
    this.#place = place;
    this.#switch = button;
    this.#fields = fields;
    this.#target = fields[0];
    // Not tab stops: keyboard users type directly.
    place.append(...KEYS.map((key) => el('button', {
      type: 'button', tabindex: '-1', class: key.area, 'aria-label': key.name, onclick: () => this.#press(key),
    }, key.text)));
    // The field keeps the focus and the caret.
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

  /** Whether the pad is shown. */
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
