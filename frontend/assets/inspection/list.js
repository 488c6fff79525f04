// @ts-check
// The form that changes what a sled's crew looks at, and the start that is offered while nothing is on the list.

import { withKey } from '../account/key.js';
import { Problem, request } from '../lib/api.js';
import { saveOrReload } from '../lib/conflict.js';
import { byId, el } from '../lib/dom.js';
import { onSubmit } from '../lib/forms.js';
import { oftenWords } from '../model/inspection.js';

/** @import { InspectionList, ItemWords } from '../model/inspection.js' */

export class ListForm {
  #path;
  #changed;
  #form = byId('list-form', HTMLFormElement);
  #rows = byId('rows', HTMLOListElement);
  #note = byId('list-changed', HTMLDivElement);
  #offer = byId('offer-form', HTMLFormElement);
  /** The list when the form was filled. @type {InspectionList|undefined} */
  #base;
  #etag = '';

  /** @param {() => string} path  of the sled @param {() => Promise<void>} changed */
  constructor(path, changed) {
    this.#path = path;
    this.#changed = changed;
    onSubmit(this.#form, () => saveOrReload(this.#form, this.#note, () => this.#put(this.#typed()), () => this.#reload()));
    onSubmit(this.#offer, () => this.#put(this.#picked()));
    byId('add-row', HTMLButtonElement).addEventListener('click', () => {
      this.#rows.append(this.#row({ what: '', every_shows: 1, calibration: false }, ''));
      /** @type {HTMLInputElement|null} */ (this.#rows.querySelector('li:last-child input'))?.focus();
    });
  }

  /** Fills the form, unless something is typed in it. @param {InspectionList} list @param {string} etag */
  show(list, etag) {
    if (this.#base?.sled === list.sled && (this.#base?.revision === list.revision || this.#isTyped())) return;
    this.#fill(list, etag);
  }

  /** @param {InspectionList} list @param {string} etag */
  #fill(list, etag) {
    this.#base = list;
    this.#etag = etag;
    this.#note.replaceChildren();
    this.#rows.replaceChildren(...list.items.map((item) => this.#row(item, item.what)));
    this.#offer.hidden = !list.offered;
    byId('offered', HTMLDivElement).replaceChildren(...(list.offered ?? []).map((item, place) => el('label', { class: 'pick' },
      el('input', { type: 'checkbox', value: place }), el('span', {}, item.what, ' ', el('small', {}, oftenWords(item))))));
  }

  /** @param {ItemWords} item @param {string} was  its words so far; empty for a new line */
  #row(item, was) {
    const count = item.every_shows ?? item.every_days ?? 1;
    const unit = el('select', { 'aria-label': 'Shows or days' }, el('option', { value: 'every_shows' }, 'shows'),
      el('option', { value: 'every_days', selected: item.every_days !== undefined }, 'days'));
    return el('li', { 'data-was': was },
      el('input', { type: 'text', value: item.what, maxlength: 200, autocomplete: 'off', 'aria-label': 'What to look at' }),
      el('label', {}, 'every ', el('input', { type: 'text', class: 'count', inputmode: 'numeric', value: count, autocomplete: 'off' })),
      unit,
      el('label', { class: 'pick' }, el('input', { type: 'checkbox', checked: item.calibration }),
        el('span', {}, 'the numbers depend on it')),
      el('button', { type: 'button', 'aria-label': `Drop: ${item.what || 'new line'}`, onclick: (/** @type {Event} */ event) => {
        /** @type {HTMLElement} */ (event.target).closest('li')?.remove();
        byId('add-row', HTMLButtonElement).focus();
      } }, 'Drop'));
  }

  /** @typedef {ItemWords & {was?: string}} Typed */

  /** The rows as the API takes them. Faults lead to their row. @returns {Typed[]} */
  #typed() {
    return [...this.#rows.children].map((row, place) => {
      const [what, count] = row.querySelectorAll('input[type="text"]');
      const unit = row.querySelector('select')?.value ?? 'every_shows';
      for (const [field, name] of /** @type {const} */ ([[what, 'what'], [count, unit]])) {
        field?.setAttribute('data-at', `items[${place}].${name}`);
      }
      const was = row instanceof HTMLElement ? row.dataset.was : '';
      const words = what instanceof HTMLInputElement ? what.value.trim() : '';
      const number = count instanceof HTMLInputElement ? count.value.trim() : '';
      return /** @type {Typed} */ ({
        what: words, was: was && was !== words ? was : undefined, [unit]: /^\d+$/.test(number) ? Number(number) : 0,
        calibration: row.querySelector('input:checked') !== null,
      });
    });
  }

  #isTyped() {
    const plain = (/** @type {ItemWords[]} */ items) => JSON.stringify(items.map((item) =>
      [item.what, item.every_shows, item.every_days, item.calibration]));
    return plain(this.#typed()) !== plain(this.#base?.items ?? []);
  }

  /** @returns {ItemWords[]} */
  #picked() {
    const picked = [...this.#offer.querySelectorAll('input:checked')].map((box) =>
      /** @type {ItemWords} */ (this.#base?.offered?.[Number(box.getAttribute('value'))]));
    if (picked.length === 0) throw new Problem(422, 'Nothing picked', 'Check the lines that belong on this sled’s list.');
    return picked;
  }

  /** @param {Typed[]} items */
  async #put(items) {
    const { data, etag } = /** @type {{data: InspectionList, etag: string}} */ (await withKey(() =>
      request('PUT', `${this.#path()}/inspection-list`, { body: { items }, ifMatch: this.#etag })));
    this.#fill(data, etag);
    this.#note.replaceChildren(el('p', {}, 'The list is saved.'));
    await this.#changed();
  }

  /** Loads the list as it is now, with the rows that were typed. @returns {Promise<string[]>} what stays */
  async #reload() {
    const before = this.#base?.items ?? [];
    const typed = this.#typed();
    const { data, etag } = /** @type {{data: InspectionList, etag: string}} */ (await request('GET', `${this.#path()}/inspection-list`));
    const changed = typed.filter((row) => row.was || !before.some((item) => item.what === row.what &&
      item.every_shows === row.every_shows && item.every_days === row.every_days && item.calibration === row.calibration));
    this.#fill(data, etag);
    for (const row of changed) {
      const was = row.was ?? row.what;
      const place = [...this.#rows.children].find((one) => one instanceof HTMLElement && one.dataset.was === was);
      const mine = this.#row(row, place ? was : '');
      if (place) place.replaceWith(mine);
      else this.#rows.append(mine);
    }
    return changed.map(({ what }) => what || 'a new line');
  }
}
