// @ts-check
// The circumstances of a reading: date, place, person and others. They carry over to the next reading; a fold hides them behind
// a summary.

import { dateWords, today } from '../lib/dates.js';
import { byId, control } from '../lib/dom.js';
import { fillQuantity, quantityWords, readQuantity, switchFields } from '../lib/quantities.js';
import { carriedOver, loadLast, saveLast } from './saved.js';

/** @import { Units } from '../lib/units.js' */

export const CONTEXT_FIELDS =
  ['measured_on', 'day', 'place', 'by', 'surface', 'marked_by', 'taken_with', 'weights', 'tire_psi', 'speed_mph'];

export class Context {
  #form;
  #units;
  #fold = byId('note-context', HTMLDetailsElement);
  #summary = byId('note-context-summary', HTMLElement);
  #today = today();

  /** @param {HTMLFormElement} form @param {Units} units */
  constructor(form, units) {
    this.#form = form;
    this.#units = units;
    this.#fold.addEventListener('input', () => this.showSummary());
    document.addEventListener('visibilitychange', () => this.#newDay());
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.#form, this.#units, units);
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
    for (const name of CONTEXT_FIELDS) this.#put(name, String(values[name] ?? ''));
    this.showSummary();
  }

  /** Another sled has other tires and weights. @param {string[]} names */
  clear(names) {
    for (const name of names) this.#put(name, '');
    this.showSummary();
  }

  /** @param {string} name @param {string} value  a number in the API's unit */
  #put(name, value) {
    const field = control(this.#form, name);
    if (field.dataset.kind) fillQuantity(field, value === '' ? undefined : Number(value), this.#units);
    else field.value = value;
  }

  /** Stores the fields for the next reading. @param {string} sled */
  save(sled) {
    const values = this.#values();
    saveLast({ sled, values });
    this.fill(values); // exact from now on, in any units
  }

  /** The fields as text, numbers in the API's units. @returns {Record<string, string>} */
  #values() {
    return Object.fromEntries(CONTEXT_FIELDS.map((name) => {
      const field = control(this.#form, name);
      return [name, field.dataset.kind ? String(readQuantity(field, this.#units, []) ?? '') : field.value.trim()];
    }));
  }

  showSummary() {
    const now = this.#values();
    const last = loadLast()?.values;
    const same = last !== undefined && CONTEXT_FIELDS.every((name) => (last[name] ?? '') === now[name]);
    const summary = [
      now.measured_on ? dateWords(now.measured_on) : 'no date',
      now.day !== now.measured_on && now.day,
      now.place,
      now.by && `by ${now.by}`,
      now.surface,
      now.weights && `weights ${now.weights}`,
      now.tire_psi && `tires ${quantityWords('pressure', Number(now.tire_psi), this.#units)}`,
    ].filter(Boolean).join(', ');
    const given = now.place || now.by ? `Noted with it: ${summary}` : `${summary}. Add place, by whom, surface …`;
    this.#summary.textContent = same ? `The same as the last one: ${summary}` : given;
  }
}
