// @ts-check
// The circumstances of a reading: date, place, person and others. They carry over to the next reading; a fold hides them behind
// a summary.

import { dateWords, today } from '../lib/dates.js';
import { byId, control, el } from '../lib/dom.js';
import { fillQuantity, quantityInput, readQuantity, switchFields } from '../lib/quantities.js';
import { FIELDS, fieldNamed, fieldWords } from '../model/fields.js';
import { carriedOver, loadLast, saveLast } from './saved.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Field } from '../model/fields.js' */

/** The fields that stay for the next reading. */
export const STAYING = FIELDS.filter(({ stays }) => stays);
/** What the summary names of them. */
const SUMMARY = ['place', 'by', 'surface', 'weights', 'tire_psi'];

export class Context {
  #form;
  #units;
  #fold = byId('note-context', HTMLDetailsElement);
  #fields = byId('note-context-fields', HTMLDivElement);
  #summary = byId('note-context-summary', HTMLElement);
  #today = today();

  /** @param {HTMLFormElement} form @param {Units} units */
  constructor(form, units) {
    this.#form = form;
    this.#units = units;
    this.#fields.append(...STAYING.map(fieldFor));
    this.#fold.addEventListener('input', () => this.showSummary());
    document.addEventListener('visibilitychange', () => this.#newDay());
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.#fields, this.#units, units);
    this.#units = units;
    this.showSummary();
  }

  /** Fills the fields from the last reading. @param {string} sled */
  carryOver(sled) {
    this.fill(carriedOver(sled));
  }

  /** The page may stay open over midnight, for example on a sleeping phone. */
  #newDay() {
    const date = control(this.#form, 'measured_on');
    if (document.hidden || today() === this.#today) return;
    if (date.value === this.#today) {
      date.value = today();
      control(this.#form, 'day').value = '';
    }
    this.#today = today();
    this.showSummary();
  }

  /** @param {Record<string, unknown>} values  fields without a value are emptied */
  fill(values) {
    for (const { name } of STAYING) this.#put(name, String(values[name] ?? ''));
    this.showSummary();
  }

  /** Another sled has other tires and weights. */
  newSled() {
    for (const { name, stays } of STAYING) if (stays === 'sled') this.#put(name, '');
    this.showSummary();
  }

  /** @param {string} name @param {string} value  a number in the API's unit */
  #put(name, value) {
    const input = control(this.#form, name);
    if (input.dataset.kind) fillQuantity(input, value === '' ? undefined : Number(value), this.#units);
    else input.value = value;
  }

  /** Stores the fields for the next reading. @param {string} sled */
  save(sled) {
    const values = this.#values();
    saveLast({ sled, values });
    this.fill(values); // exact from now on, in any units
  }

  /** The fields as the API takes them. @param {Fault[]} faults @returns {Record<string, string|number|undefined>} */
  read(faults) {
    return Object.fromEntries(STAYING.map(({ name }) => {
      const input = control(this.#form, name);
      return [name, input.dataset.kind ? readQuantity(input, this.#units, faults) : input.value.trim() || undefined];
    }));
  }

  /** The fields as text, numbers in the API's units. @returns {Record<string, string>} */
  #values() {
    return Object.fromEntries(Object.entries(this.read([])).map(([name, value]) => [name, String(value ?? '')]));
  }

  showSummary() {
    const now = this.#values();
    const last = loadLast()?.values;
    const same = last !== undefined && STAYING.every(({ name }) => (last[name] ?? '') === now[name]);
    const summary = [
      now.measured_on ? dateWords(now.measured_on) : 'no date',
      now.day !== now.measured_on && now.day,
      ...SUMMARY.map((name) => fieldWords(/** @type {Field} */ (fieldNamed(name)), now[name], this.#units)),
    ].filter(Boolean).join(', ');
    const given = now.place || now.by ? `Noted with it: ${summary}` : `${summary}. Add place, by whom, surface …`;
    this.#summary.textContent = same ? `The same as the last one: ${summary}` : given;
  }
}

/** The field in the form. @param {Field} field */
function fieldFor({ name, label, kind, quantity, ask = label, hint }) {
  const id = `note-${name}`;
  const type = kind === 'date' ? 'date' : 'text';
  const plain = () => el('input', { id, name, type, autocomplete: 'off', 'aria-describedby': hint && `${id}-hint` });
  return el('div', { class: 'field' }, el('label', { for: id }, ask),
    quantity ? quantityInput({ id, name }, quantity) : plain(), hint && el('p', { class: 'hint', id: `${id}-hint` }, hint));
}
