// @ts-check
// The form for the outcome of a class: hooks, full pulls, longest pull, and how the sled felt.

import { withKey } from '../../account/key.js';
import { request } from '../../lib/api.js';
import { chooseIn, chosenIn, control, el, field, radios } from '../../lib/dom.js';
import { onSubmit, throwFaults } from '../../lib/forms.js';
import { fillQuantity, quantityInput, readQuantity, switchFields } from '../../lib/quantities.js';
import { outcomeWords } from '../../model/showwords.js';

/** @import { Fault } from '../../lib/api.js' */
/** @import { Units } from '../../lib/units.js' */
/** @import { Outcome } from '../../model/showtypes.js' */

const FELT = [{ value: 'soft', label: 'Too soft' }, { value: 'right', label: 'Right' }, { value: 'hard', label: 'Too hard' }];
const COUNTS = /** @type {const} */ (['hooks', 'full_pulls']);
let count = 0;

export class OutcomeForm {
  #path;
  #units;
  #reload;
  #id = `went-${++count}`;
  #heading = el('summary', {});
  #felt = el('div', { class: 'choices felt' }, ...radios(`${this.#id}-felt`, FELT, ''));
  #status = el('p', { role: 'status', class: 'hint' });
  /** The values filled in, to detect edits. */
  #filled = '';
  /** @type {Outcome|null} */
  #stored = null;
  /** @type {HTMLFormElement} */
  #form;
  element;

  /** @param {string} path @param {Units} units @param {() => Promise<unknown>} reload */
  constructor(path, units, reload) {
    this.#path = path;
    this.#units = units;
    this.#reload = reload;
    const countField = (/** @type {string} */ name, /** @type {string} */ label) =>
      field(label, el('input', { id: `${this.#id}-${name}`, name, inputmode: 'numeric', autocomplete: 'off' }));
    this.#form = el('form', { novalidate: true, class: 'panel' },
      el('fieldset', { class: 'field', 'data-at': 'felt' }, el('legend', {}, 'The sled pulled'), this.#felt),
      el('div', { class: 'counts' }, countField('hooks', 'How many hooked'), countField('full_pulls', 'How many went full'),
        el('div', { class: 'field' }, el('label', { for: `${this.#id}-longest` }, 'Longest pull'),
          quantityInput({ id: `${this.#id}-longest`, name: 'longest_ft' }, 'distance'))),
      field('In words', el('input', { id: `${this.#id}-note`, name: 'note', autocomplete: 'off', maxlength: 500 })),
      this.#status,
      el('div', { class: 'actions' }, el('button', { class: 'primary', type: 'submit' }, 'Note how it went'),
        el('button', { type: 'button', onclick: () => this.#fill(null) }, 'Empty it')));
    this.element = el('details', { class: 'fold went' }, this.#heading, this.#form);
    this.setUnits(units);
    onSubmit(this.#form, () => this.#save());
  }

  /** @param {Units} units */
  setUnits(units) {
    const untouched = this.#filled === this.#typed();
    switchFields(this.#form, this.#units, units);
    this.#units = units;
    if (untouched) this.#filled = this.#typed();
    this.#describe();
  }

  /** @param {Outcome|null} outcome */
  show(outcome) {
    const untouched = this.#filled === '' || this.#filled === this.#typed();
    this.#stored = outcome;
    this.#describe();
    if (!untouched) return;
    this.#fill(outcome);
    this.#filled = this.#typed();
  }

  #describe() {
    const words = outcomeWords(this.#stored, this.#units);
    this.#heading.textContent = words ? `How it went: ${words}` : 'How it went';
  }

  /** @param {Outcome|null} outcome */
  #fill(outcome) {
    for (const name of COUNTS) control(this.#form, name).value = outcome?.[name] === undefined ? '' : String(outcome[name]);
    fillQuantity(control(this.#form, 'longest_ft'), outcome?.longest_ft, this.#units);
    control(this.#form, 'note').value = outcome?.note ?? '';
    chooseIn(this.#felt, outcome?.felt);
  }

  #typed() {
    return JSON.stringify([...['hooks', 'full_pulls', 'longest_ft', 'note'].map((name) => control(this.#form, name).value),
      chosenIn(this.#felt)]);
  }

  async #save() {
    /** @type {Fault[]} */
    const faults = [];
    /** @type {Record<string, number|undefined>} */
    const counts = {};
    for (const name of COUNTS) {
      const text = control(this.#form, name).value.trim();
      if (text !== '' && !/^\d{1,4}$/.test(text)) faults.push({ at: name, detail: `“${text}” is not a whole number.` });
      counts[name] = text === '' ? undefined : Number(text);
    }
    const body = {
      ...counts, longest_ft: readQuantity(control(this.#form, 'longest_ft'), this.#units, faults),
      felt: chosenIn(this.#felt) || undefined, note: control(this.#form, 'note').value.trim() || undefined,
    };
    throwFaults(faults);
    await withKey(() => request('PUT', this.#path, { body }));
    this.#filled = this.#typed();
    this.#status.textContent = 'Noted.';
    await this.#reload();
  }
}
