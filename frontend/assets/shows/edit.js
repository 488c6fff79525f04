// @ts-check
// The form that changes a show, and the buttons that close, reopen or delete it.

import { withKey } from '../account/key.js';
import { messageOf, Problem, request } from '../lib/api.js';
import { saveOrReload } from '../lib/conflict.js';
import { askYes } from '../lib/dialogs.js';
import { byId, el } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { isolated } from '../lib/text.js';
import { ShowFields, TEXTS } from './form.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { PullingClass, Show } from '../model/showtypes.js' */

export class EditSection {
  #path;
  #units;
  #callbacks;
  #form = byId('edit-form', HTMLFormElement);
  #note = byId('edit-note', HTMLDivElement);
  #problem = byId('over-problem', HTMLDivElement);
  /** @type {ShowFields|undefined} */
  #fields;
  /** The show when the form was filled. @type {Show|undefined} */
  #base;
  #etag = '';

  /**
   * @param {string} path  of the show
   * @param {Units} units
   * @param {{put: (change: Partial<Show>) => Promise<void>, reload: () => Promise<void>}} callbacks  put changes fields of the show
   */
  constructor(path, units, callbacks) {
    this.#path = path;
    this.#units = units;
    this.#callbacks = callbacks;
    onSubmit(this.#form, () => this.#save());
    byId('over', HTMLButtonElement).addEventListener('click', () => this.#closeOrOpen());
    byId('delete', HTMLButtonElement).addEventListener('click', () => this.#delete());
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    this.#fields?.track.setUnits(units);
  }

  /**
   * Shows the show. Typed values stay; other fields are filled again.
   * @param {Show} show
   * @param {string} etag
   * @param {PullingClass[]} classes
   * @param {boolean} weighed  whether a sled was
   * @returns {string[]} names of the typed values that stay
   */
  show(show, etag, classes, weighed) {
    const before = this.#base;
    if (!this.#fields || !before) {
      this.#fields = new ShowFields(this.#form, 'edit', classes, this.#units, weighed);
      this.#fields.show(show);
    }
    const fields = this.#fields;
    fields.classes = classes;
    const preserved = [];
    if (before) {
      for (const name of TEXTS) {
        if (fields.text(name) === (before[name] ?? '')) fields.setText(name, show[name] ?? '');
        else preserved.push(name);
      }
      if (fields.track.differ(before)) preserved.push('full pull');
      else fields.track.show(show);
      if (sameOrder(fields.order, before.classes)) fields.order = show.classes;
      else preserved.push('running order');
    }
    fields.fixed = show.over;
    this.#base = show;
    this.#etag = etag;
    byId('edit-over', HTMLParagraphElement).hidden = !show.over;
    byId('over', HTMLButtonElement).textContent = show.over ? 'Open the show again' : 'The show is over';
    byId('over-about', HTMLParagraphElement).textContent = show.over
      ? 'It keeps the sheet it was run with, whatever happens to the charts. Opened again, it lets go of that sheet and follows the charts.'
      : 'A show that is over keeps the sheet it was run with. It is over by itself from noon of the day after its ' +
        'date, by the clock of its place.';
    return preserved;
  }

  async #save() {
    /** @type {Fault[]} */
    const faults = [];
    const typed = /** @type {ShowFields} */ (this.#fields).read(faults);
    throwFaults(faults);
    this.#note.replaceChildren();
    await saveOrReload(this.#form, this.#note, async () => {
      await this.#callbacks.put(typed);
      this.#note.replaceChildren(el('p', { class: 'notice' }, 'Saved.'));
    }, () => this.#rebase());
  }

  async #rebase() {
    const before = /** @type {Show} */ (this.#base);
    const fields = /** @type {ShowFields} */ (this.#fields);
    const preserved = TEXTS.filter((name) => fields.text(name) !== (before[name] ?? '')).map(String);
    if (fields.track.differ(before)) preserved.push('full pull');
    if (!sameOrder(fields.order, before.classes)) preserved.push('running order');
    await this.#callbacks.reload();
    return preserved;
  }

  async #closeOrOpen() {
    const base = /** @type {Show} */ (this.#base);
    const question = base.over
      ? {
        title: `Open ${isolated(base.name)} again?`, confirm: 'Open it again',
        explain: 'It lets go of the sheet it was run with and follows today’s charts. What was noted as run stays.',
      }
      : {
        title: `Is ${isolated(base.name)} over?`, confirm: 'It is over',
        explain: 'It keeps the sheet as it stands now. What was run can still be noted.',
      };
    if (await askYes(question)) await this.#attempt(() => this.#callbacks.put({ over: !base.over }));
  }

  async #delete() {
    const base = /** @type {Show} */ (this.#base);
    const explain = 'Only a show of which nothing was noted as run can go.';
    if (!await askYes({ title: `Delete ${isolated(base.name)}?`, explain, confirm: 'Delete it' })) return;
    await this.#attempt(async () => {
      await withKey(() => request('DELETE', this.#path, { ifMatch: this.#etag }));
      location.assign('/shows');
    });
  }

  /** @param {() => Promise<void>} work */
  async #attempt(work) {
    this.#problem.replaceChildren();
    try {
      await work();
    } catch (error) {
      this.#problem.replaceChildren(el('p', { class: 'fault' }, messageOf(error)));
      if (error instanceof Problem && error.status === 412) {
        const button = el('button', { type: 'button' }, 'Load what is there now');
        button.addEventListener('click', () => this.#attempt(() => this.#callbacks.reload()));
        this.#problem.append(button);
      }
    }
  }
}

/** @param {string[]} one @param {string[]} other */
function sameOrder(one, other) {
  return one.length === other.length && one.every((id, place) => id === other[place]);
}
