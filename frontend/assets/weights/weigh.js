// @ts-check
// The form that notes a weighing. The day, the scale and what is in the box stay for the next one.

import { withKey } from '../account/key.js';
import { request, Sending } from '../lib/api.js';
import { today } from '../lib/dates.js';
import { byId, control, el } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { fillQuantity, readQuantity, switchFields } from '../lib/quantities.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */

const QUANTITIES = ['box_at_ft', 'in_box_lb', 'on_pan_lb', 'pan_lb', 'tandem_lb', 'total_lb', 'scale_step_lb'];
const TEXTS = ['weighed_on', 'scale', 'place', 'by', 'note'];
const NEEDED = [['box_at_ft', 'Where did the box stand? 0 is full back.'], ['pan_lb', 'What did the scale read?'],
  ['weighed_on', 'Give the date.']];
const OF_ONE = ['box_at_ft', 'pan_lb', 'tandem_lb', 'total_lb'];

export class WeighForm {
  #path;
  #units;
  #stored;
  #form = byId('weigh-form', HTMLFormElement);
  #status = byId('weigh-status', HTMLDivElement);
  #sending = new Sending();

  /** @param {string} sledPath @param {Units} units @param {() => Promise<void>} stored */
  constructor(sledPath, units, stored) {
    this.#path = `${sledPath}/weighings`;
    this.#units = units;
    this.#stored = stored;
    switchFields(this.#form, units, units);
    control(this.#form, 'weighed_on').value = today();
    onSubmit(this.#form, () => this.#send());
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.#form, this.#units, units);
    this.#units = units;
  }

  async #send() {
    this.#status.replaceChildren();
    /** @type {Fault[]} */
    const faults = [];
    const body = Object.fromEntries([
      ...QUANTITIES.map((name) => [name, readQuantity(control(this.#form, name), this.#units, faults)]),
      ...TEXTS.map((name) => [name, control(this.#form, name).value.trim() || undefined])]);
    for (const [name, detail] of NEEDED) {
      if (control(this.#form, name).value.trim() === '') faults.push({ at: name, detail });
    }
    throwFaults(faults);
    await withKey(() => request('POST', this.#path, { body, idempotencyKey: this.#sending.keyFor(JSON.stringify(body)) }));
    this.#sending.finished();
    for (const name of OF_ONE) fillQuantity(control(this.#form, name), undefined, this.#units);
    control(this.#form, 'note').value = '';
    this.#status.replaceChildren(el('p', { class: 'notice' }, 'Noted. The next one?'));
    await this.#stored();
    control(this.#form, 'box_at_ft').focus();
  }
}
