// @ts-check
// The axle that drives the box: one speed with a ratio, or two with a ratio for each range.

import { el } from '../lib/dom.js';
import { parseNumber } from '../lib/units.js';
import { axleWords } from './words.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Driveline } from './types.js' */

/** @typedef {'same'|'one'|'two'} Mode */

const TWO_SPEEDS = 'On the plate of an axle the lower number is the high range. Under a sled the wheels turn it, and the ' +
  'lower number gives the slower box: name the ranges as your crew does.';

export class PartsAxle {
  #id;
  #change;
  #modes;
  #one;
  #rows = el('div', { class: 'fields' });
  /** The field values when filled. */
  #filled = '';
  /** The ranges of the current axle. @type {string[]} */
  #noted = [];
  element;

  /** @param {string} id @param {boolean} change @param {() => void} rangesChanged */
  constructor(id, change, rangesChanged) {
    this.#id = id;
    this.#change = change;
    /** @type {[Mode, string][]} */
    const modes = [['one', 'One speed'], ['two', 'Two speeds']];
    if (change) modes.unshift(['same', 'The same axle']);
    this.#modes = modes.map(([value, label]) => {
      const input = el('input', { type: 'radio', name: `${id}-axle`, value, checked: value === modes[0][0] });
      input.addEventListener('change', () => {
        this.#showMode();
        rangesChanged();
      });
      return { input, element: el('label', { class: 'choice' }, input, el('span', {}, label)) };
    });
    const oneId = `${id}-axle-ratio`;
    this.#one = el('input', {
      id: oneId, name: 'driveline.axle_ratio', inputmode: 'decimal', autocomplete: 'off', placeholder: change ? '' : 'not known',
    });
    this.element = el('fieldset', { class: 'group', 'data-at': 'driveline.axle_ratios' }, el('legend', {}, 'Axle that drives the box'),
      el('div', { class: 'choices' }, ...this.#modes.map(({ element }) => element)),
      el('p', { class: 'hint' }),
      el('div', { class: 'field', 'data-mode': 'one' }, el('label', { for: oneId }, 'Axle ratio'),
        el('div', { class: 'with-unit' }, this.#one)),
      el('div', { 'data-mode': 'two' }, el('p', { class: 'hint' }, TWO_SPEEDS), this.#rows));
    this.#fillRows([]);
    this.#rows.addEventListener('input', rangesChanged);
    this.#showMode();
  }

  get #mode() {
    return /** @type {Mode} */ (this.#modes.find(({ input }) => input.checked)?.input.value ?? 'one');
  }

  /** @param {Mode} mode */
  #choose(mode) {
    for (const { input } of this.#modes) input.checked = input.value === mode;
  }

  #showMode() {
    for (const part of this.element.querySelectorAll('[data-mode]')) {
      if (part instanceof HTMLElement) part.hidden = part.dataset.mode !== this.#mode;
    }
  }

  /** @param {[string, number|undefined][]} ranges */
  #fillRows(ranges) {
    const rows = ranges.length > 0 ? ranges : /** @type {[string, undefined][]} */ ([['low', undefined], ['high', undefined]]);
    this.#rows.replaceChildren(...rows.map(([name, ratio], place) => {
      const of = `${this.#id}-range-${place}`;
      const nameInput = el('input', { id: of, autocomplete: 'off', maxlength: 20 });
      const ratioInput = el('input', {
        name: `${this.#id}-range-ratio-${place}`, inputmode: 'decimal', autocomplete: 'off', 'aria-label': 'Ratio in that range',
        placeholder: 'ratio',
      });
      nameInput.value = name;
      ratioInput.value = ratio === undefined ? '' : String(ratio);
      return el('div', { class: 'field' }, el('label', { for: of }, `Range ${place + 1} and its ratio`),
        el('div', { class: 'gear-row' }, nameInput, ratioInput));
    }));
  }

  /** The field values. */
  #typed() {
    const rows = this.#mode === 'two' ? this.#readRows() : [];
    return JSON.stringify([this.#mode, this.#mode === 'one' ? this.#one.value.trim() : '', rows.map(({ name, text }) => [name, text])]);
  }

  #readRows() {
    return [...this.#rows.children].map((row) => {
      const [nameInput, ratioInput] = row.querySelectorAll('input');
      return { name: nameInput.value.trim(), text: ratioInput.value.trim(), ratioInput };
    });
  }

  /**
   * Shows the axle of a sled. Typed values stay; the result says whether there are any.
   * @param {Driveline} known
   * @param {boolean} keepTyped  whether typed values stay
   */
  show(known, keepTyped) {
    const ranges = Object.entries(known.axle_ratios ?? {}).sort((a, b) => b[1] - a[1]);
    const typed = keepTyped && this.#filled !== '' && this.#typed() !== this.#filled;
    this.#noted = ranges.map(([name]) => name);
    const hint = this.element.querySelector('.hint');
    if (this.#change && hint) {
      hint.textContent = `Now ${known.axle_ratios ? axleWords(known.axle_ratios) : known.axle_ratio ?? 'not known'}.`;
    }
    if (!typed && !this.#change) {
      this.#choose(ranges.length > 0 ? 'two' : 'one');
      this.#one.value = known.axle_ratio === undefined ? '' : String(known.axle_ratio);
      this.#fillRows(ranges);
    }
    if (!typed) this.#filled = this.#typed();
    this.#showMode();
    return typed;
  }

  /** The names of the ranges a gear can have. */
  ranges() {
    if (this.#mode === 'same') return this.#noted;
    return this.#mode === 'two' ? this.#readRows().map(({ name }) => name).filter(Boolean) : [];
  }

  /** @param {Fault[]} faults @returns {Pick<Driveline, 'axle_ratio'|'axle_ratios'>} */
  read(faults) {
    if (this.#mode === 'same') return {};
    if (this.#mode === 'one') {
      const text = this.#one.value.trim();
      const value = parseNumber(text);
      if (text !== '' && value === null) faults.push({ at: this.#one.name, detail: `“${text}” is not a number.` });
      if (text === '' && this.#change) faults.push({ at: this.#one.name, detail: 'Which ratio has the new axle?' });
      return value === null ? {} : { axle_ratio: value };
    }
    /** @type {Record<string, number>} */
    const ratios = {};
    for (const { name, text, ratioInput } of this.#readRows()) {
      const value = parseNumber(text);
      ratioInput.dataset.at = `driveline.axle_ratios.${name}`;
      if (name === '' && text === '') continue;
      if (name === '') faults.push({ at: ratioInput.name, detail: 'What is this range called?' });
      else if (Object.hasOwn(ratios, name)) faults.push({ at: ratioInput.name, detail: `Two ranges are called “${name}”.` });
      else if (value === null) {
        if (text !== '') faults.push({ at: ratioInput.name, detail: `“${text}” is not a number.` });
        else if (this.#change) faults.push({ at: ratioInput.name, detail: 'Which ratio has this range?' });
      } else ratios[name] = value;
    }
    return Object.keys(ratios).length > 0 ? { axle_ratios: ratios } : {};
  }

  clear() {
    this.#choose('same');
    this.#one.value = '';
    this.#fillRows([]);
    this.#showMode();
    this.#filled = this.#typed();
  }
}
