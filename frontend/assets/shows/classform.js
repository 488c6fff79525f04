// @ts-check
// The form for a class: a new one or an existing one.

import { withKey } from '../account/key.js';
import { request, Sending } from '../lib/api.js';
import { saveOrReload } from '../lib/conflict.js';
import { el, field } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { anyWeighed } from '../model/sleds.js';
import { WeighedFields } from '../model/weighedfields.js';
import { SettingField } from './setting.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { PullingClass } from '../model/showtypes.js' */
/** @import { Sled } from '../model/types.js' */

let count = 0;

/** The path of a class. @param {string} id */
export function classPath(id) {
  return `/v1/classes/${encodeURIComponent(id)}`;
}

export class ClassForm {
  #setting;
  #pullOff;
  #name;
  #usedBy;
  #weights;
  #ends;
  #notes;
  #fold;
  #note = el('div', { role: 'status' });
  #sending = new Sending();
  #stored;
  /** The class when the form was filled, and its ETag. @type {{it: PullingClass, etag: string}|undefined} */
  #base;
  /** @type {HTMLFormElement} */
  element;

  /**
   * @param {Sled[]} sleds
   * @param {Units} units
   * @param {{stored: (it: PullingClass) => Promise<void>, closed?: () => void}} callbacks  closed adds a cancel button
   * @param {{it: PullingClass, etag: string}} [base]  the existing class
   */
  constructor(sleds, units, callbacks, base) {
    const id = `class-${++count}`;
    const input = (/** @type {string} */ name) => el('input', { id: `${id}-${name}`, name, autocomplete: 'off' });
    this.#stored = callbacks.stored;
    this.#base = base;
    this.#name = input('name');
    this.#usedBy = input('used_by');
    this.#weights = input('weights');
    this.#notes = el('textarea', { id: `${id}-notes`, name: 'notes' });
    this.#ends = new WeighedFields(id, '', units, anyWeighed(sleds), [{ name: 'ends_ft', label: 'It usually ends at', kind: 'distance',
      hint: 'Where the weights of two sleds are matched. Empty is the full pull.' }]);
    this.#setting = new SettingField('setting', sleds, units, { sled: 'The sled it is used to', start: 'The box starts at' });
    this.#pullOff = new SettingField('pull_off', sleds, units,
      { sled: 'Sled of the pull-off setting', start: 'The box starts at, in the pull-off' }, true);
    this.#fold = el('details', { class: 'fold' }, el('summary', {}, 'Pull-off, weights, used by, notes'),
      this.#pullOff.element,
      field('Weights on that sled', this.#weights, 'As text. They mean nothing on another sled and are never printed as tonight’s.'),
      field('Used by', this.#usedBy, 'Which association or promoter runs it.'),
      field('Notes', this.#notes));
    this.element = el('form', { novalidate: true, class: 'panel' },
      field('Name', this.#name), this.#setting.element, this.#ends.element, this.#fold, this.#note,
      el('div', { class: 'actions' },
        el('button', { class: 'primary', type: 'submit' }, base ? 'Save the class' : 'Add this class'),
        callbacks.closed && el('button', { type: 'button', onclick: callbacks.closed }, 'Leave it as it was')));
    onSubmit(this.element, () => this.#save());
    if (base) {
      this.#show(base.it);
      this.#fold.open = [base.it.pull_off, base.it.weights, base.it.used_by, base.it.notes].some(Boolean);
    }
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#setting.setUnits(units);
    this.#pullOff.setUnits(units);
    this.#ends.setUnits(units);
  }

  /** @param {PullingClass|undefined} it */
  #show(it) {
    this.#name.value = it?.name ?? '';
    this.#usedBy.value = it?.used_by ?? '';
    this.#weights.value = it?.weights ?? '';
    this.#notes.value = it?.notes ?? '';
    this.#ends.show(it ?? {});
    this.#setting.show(it?.setting ?? null);
    this.#pullOff.show(it?.pull_off ?? null);
  }

  async #save() {
    const input = this.#read();
    const base = this.#base;
    if (!base) {
      const { data } = /** @type {{data: PullingClass}} */ (await withKey(() =>
        request('POST', '/v1/classes', { body: input, idempotencyKey: this.#sending.keyFor(JSON.stringify(input)) })));
      this.#sending.finished();
      // The next class is often used to the same sled.
      this.#show(undefined);
      this.#setting.show({ sled: data.setting.sled, gear: '', start_ft: 0 });
      await this.#stored(data);
      this.#name.focus();
      return;
    }
    await saveOrReload(this.element, this.#note, async () => {
      const { data } = /** @type {{data: PullingClass}} */ (await withKey(() =>
        request('PUT', classPath(base.it.id), { body: input, ifMatch: base.etag })));
      await this.#stored(data);
    }, () => this.#rebase());
  }

  #read() {
    /** @type {Fault[]} */
    const faults = [];
    const name = this.#name.value.trim();
    if (!name) faults.push({ at: 'name', detail: 'A class needs a name.' });
    const setting = this.#setting.read(faults);
    if (!setting) faults.push({ at: 'setting.sled', detail: 'A class needs the sled it is used to.' });
    const pullOff = this.#pullOff.read(faults);
    const ends = this.#ends.read(faults);
    throwFaults(faults);
    return {
      name, setting, pull_off: pullOff ?? undefined, ...ends,
      used_by: this.#usedBy.value.trim() || undefined, weights: this.#weights.value.trim() || undefined,
      notes: this.#notes.value.trim() || undefined,
    };
  }

  /** Loads the class as it is now. Typed values stay. The result names them. */
  async #rebase() {
    const { it: before } = /** @type {{it: PullingClass}} */ (this.#base);
    const { data, etag } = /** @type {{data: PullingClass, etag: string}} */ (await request('GET', classPath(before.id)));
    const preserved = [];
    const texts = /** @type {const} */ ([
      [this.#name, 'name'], [this.#usedBy, 'used_by'], [this.#weights, 'weights'], [this.#notes, 'notes']]);
    for (const [input, name] of texts) {
      if (input.value.trim() === (before[name] ?? '')) input.value = data[name] ?? '';
      else preserved.push(name.replace('_', ' '));
    }
    for (const [field, name] of /** @type {const} */ ([[this.#setting, 'setting'], [this.#pullOff, 'pull_off']])) {
      if (field.differs(before[name])) preserved.push(name.replace('_', '-'));
      else field.show(data[name]);
    }
    if (this.#ends.differ(before)) preserved.push('where it ends');
    else this.#ends.show(data);
    this.#base = { it: data, etag };
    return preserved;
  }
}
