// @ts-check
// The form that notes a change of parts.

import { withKey } from '../account/key.js';
import { request, Sending } from '../lib/api.js';
import { today } from '../lib/dates.js';
import { byId, control, el } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { isEdited, readQuantity, switchFields } from '../lib/quantities.js';
import { noted } from '../lib/units.js';
import { numberField, PartFields } from './fields.js';
import { movedWords } from './words.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Change, PartsSled } from './types.js' */

export class ChangeForm {
  #path;
  #units;
  #changed;
  #form = byId('change-form', HTMLFormElement);
  #status = byId('change-status', HTMLDivElement);
  #fields;
  #travel = numberField('change-travel', 'travel_ft', { label: 'Travel of the box, if it changed', kind: 'length', hint: ' ' });
  #endsWeighings = /** @type {HTMLInputElement} */ (control(this.#form, 'ends_weighings'));
  #sending = new Sending();
  /** @type {PartsSled|undefined} */
  #sled;

  /** @param {string} path @param {Units} units @param {() => Promise<void>} changed */
  constructor(path, units, changed) {
    this.#path = path;
    this.#units = units;
    this.#changed = changed;
    this.#fields = new PartFields('change', units, true);
    byId('change-fields', HTMLDivElement).append(this.#fields.element,
      el('fieldset', { class: 'group' }, el('legend', {}, 'Cut-off or stop'), el('div', { class: 'fields' }, this.#travel.element)));
    switchFields(this.#form, units, units);
    control(this.#form, 'made_on').value = today();
    onSubmit(this.#form, () => this.#send());
    this.#prefill(new URLSearchParams(location.search));
  }

  /** A link from an inspection brings what was done, and when. @param {URLSearchParams} link */
  #prefill(link) {
    for (const name of ['made_on', 'what']) control(this.#form, name).value = link.get(name) ?? control(this.#form, name).value;
    if (link.has('what')) byId('change-fold', HTMLDetailsElement).open = true;
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#fields.setUnits(units);
    switchFields(/** @type {HTMLElement} */ (this.#travel.element), this.#units, units);
    this.#units = units;
    this.#showTravel();
  }

  /** @param {PartsSled} sled */
  show(sled) {
    this.#sled = sled;
    this.#fields.show(sled);
    byId('change-weighings', HTMLFieldSetElement).hidden = sled.weighings === undefined;
    this.#showTravel();
  }

  #showTravel() {
    const travel = this.#sled?.travel_ft;
    this.#travel.note.textContent =
      `Now ${travel === undefined ? 'not taped' : noted(travel, this.#units)}. From full back to where the cut-off trips.`;
  }

  async #send() {
    this.#status.replaceChildren();
    const change = this.#read();
    const { data } = /** @type {{data: Change}} */ (await withKey(() => request('POST', `${this.#path}/changes`,
      { body: change, idempotencyKey: this.#sending.keyFor(JSON.stringify(change)) })));
    this.#sending.finished();
    this.#clear();
    this.#status.replaceChildren(el('p', { class: 'notice' }, `Noted. ${movedWords(data, this.#units)}`));
    await this.#changed();
  }

  #read() {
    /** @type {Fault[]} */
    const faults = [];
    const madeOn = control(this.#form, 'made_on').value;
    const what = control(this.#form, 'what').value.trim();
    const effect = String(new FormData(this.#form).get('effect') ?? '');
    if (!madeOn) faults.push({ at: 'made_on', detail: 'On which day?' });
    if (!what) faults.push({ at: 'what', detail: 'What was done, in a few words?' });
    if (!effect) faults.push({ at: 'effect', detail: 'Say what becomes of earlier readings.' });
    const { driveline, gears } = this.#fields.read(faults);
    const travel = isEdited(this.#travel.input) ? readQuantity(this.#travel.input, this.#units, faults) : undefined;
    throwFaults(faults);
    return { made_on: madeOn, what, driveline, gears: gears.length > 0 ? gears : undefined, travel_ft: travel, effect,
      ends_weighings: this.#endsWeighings.checked || undefined };
  }

  #clear() {
    this.#fields.clear();
    this.#travel.input.value = '';
    control(this.#form, 'what').value = '';
    this.#endsWeighings.checked = false;
    for (const choice of this.#form.querySelectorAll('input[name="effect"]')) /** @type {HTMLInputElement} */ (choice).checked = false;
  }
}
