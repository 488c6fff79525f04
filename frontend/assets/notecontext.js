// @ts-check
// When, where and by whom: filled in once, kept for the next reading, folded away behind one line that says it.

import { byId, control } from './dom.js';
import { carriedOver, keepLast, keptLast, today } from './notekept.js';
import { dateWords } from './words.js';

export const CONTEXT = ['measured_on', 'day', 'place', 'by', 'surface', 'marked_by', 'taken_with', 'weights', 'tyre_psi', 'speed_mph'];

export class Context {
  #form;
  #fold = byId('note-context', HTMLDetailsElement);
  #summary = byId('note-context-summary', HTMLElement);
  #today = today();

  /** @param {HTMLFormElement} form */
  constructor(form) {
    this.#form = form;
    this.#fold.addEventListener('input', () => this.say());
    document.addEventListener('visibilitychange', () => this.#newDay());
  }

  /** What the last reading says of the next. @param {string} sled */
  carryOver(sled) {
    this.fill(carriedOver(sled));
  }

  /** A phone that lay asleep over night wakes up with the page as it was. */
  #newDay() {
    const date = control(this.#form, 'measured_on');
    if (document.hidden || today() === this.#today) return;
    if (date.value === this.#today) {
      date.value = today();
      control(this.#form, 'day').value = '';
    }
    this.#today = today();
    this.say();
  }

  /** @param {Record<string, unknown>} values  what is not in it is emptied */
  fill(values) {
    for (const name of CONTEXT) control(this.#form, name).value = String(values[name] ?? '');
    this.say();
  }

  /** Another sled has its own tyres and weights. @param {string[]} names */
  clear(names) {
    for (const name of names) control(this.#form, name).value = '';
    this.say();
  }

  /** These are the last ones from now on. @param {string} sled */
  keep(sled) {
    keepLast({ sled, values: this.#values() });
    this.say();
  }

  #values() {
    return Object.fromEntries(CONTEXT.map((name) => [name, control(this.#form, name).value.trim()]));
  }

  say() {
    const now = this.#values();
    const last = keptLast()?.values;
    const same = last !== undefined && CONTEXT.every((name) => (last[name] ?? '') === now[name]);
    const said = [
      now.measured_on ? dateWords(now.measured_on) : 'no date',
      now.day !== now.measured_on && now.day,
      now.place,
      now.by && `by ${now.by}`,
      now.surface,
      now.weights && `weights ${now.weights}`,
      now.tyre_psi && `tyres ${now.tyre_psi} psi`,
    ].filter(Boolean).join(', ');
    this.#summary.textContent = same ? `The same as the last one: ${said}` : now.place || now.by ? `Noted with it: ${said}` : `${said}. Add place, by whom, surface …`;
  }
}
