// @ts-check
// Tonight's own pulls: what they say, and the form for the first hooks, a tap each.

import { patchReading } from '../../account/readings.js';
import { whenIs } from '../../lib/dates.js';
import { byId, control, el, putParts, putText } from '../../lib/dom.js';
import { attempt, showFaults, submitting, throwFaults } from '../../lib/forms.js';
import { StartField } from '../../lib/lengthfield.js';
import { fillQuantity, readQuantity, switchFields } from '../../lib/quantities.js';
import { counted, isolated } from '../../lib/text.js';
import { noted } from '../../lib/units.js';
import { settingWords } from '../../model/showwords.js';
import { sendPull } from './reading.js';

/** @import { Fault } from '../../lib/api.js' */
/** @import { Units } from '../../lib/units.js' */
/** @import { Sheet } from '../../model/showtypes.js' */
/** @import { Sled } from '../../model/types.js' */
/** @import { SendCallbacks } from './sending.js' */

export class NightSection {
  #units;
  #callbacks;
  #form = byId('night-form', HTMLFormElement);
  #gears = byId('night-gears', HTMLDivElement);
  #status = byId('night-status', HTMLDivElement);
  #start;
  /** @type {Sheet|undefined} */
  #sheet;

  /** @param {Units} units @param {SendCallbacks} callbacks @param {(withDate: boolean) => void} dateTicked */
  constructor(units, callbacks, dateTicked) {
    this.#units = units;
    this.#callbacks = callbacks;
    this.#start = new StartField(control(this.#form, 'start_ft'), units);
    switchFields(this.#form, units, units);
    byId('night-date', HTMLInputElement).addEventListener('change', (event) => {
      dateTicked(/** @type {HTMLInputElement} */ (event.target).checked);
    });
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.#form, this.#units, units);
    this.#start.setUnits(units);
    this.#units = units;
  }

  /** @param {Sheet} sheet @param {boolean} withDate  readings of the date that were not entered from the show join @param {Sled} [sled] */
  show(sheet, withDate, sled) {
    this.#sheet = sheet;
    const { night, over, date, zone, rows } = sheet;
    const others = night?.others ?? 0;
    const isTonight = !over && whenIs(date, zone) <= 0;
    // A guest answers as its owner's readings say, whatever tonight's pulls are.
    byId('night', HTMLElement).hidden = !sled || sheet.guest !== undefined || (!isTonight && !night);
    this.#form.hidden = !isTonight;
    this.#start.railMarkFt = sled?.rail_mark_ft || 0.5;
    putText('night-says', night?.detail ?? '');
    const changed = rows.filter(({ tonight }) => tonight.usual_gear).map(({ name, tonight }) =>
      `${tonight.nearest?.gear ?? 'none'} for ${name} (usually ${tonight.usual_gear})`);
    putText('night-changed', changed.length > 0 ? `Nearest now: ${changed.join('; ')}.` : '');
    const strays = over ? [] : night?.not_used ?? [];
    const problem = el('p', { class: 'fault', role: 'alert', hidden: true });
    putParts('night-strays', ...(strays.length === 0 ? [] : [el('button', { type: 'button', onclick: () => attempt(problem, async () => {
      for (const id of strays) await patchReading(id, { confirmed: true });
      await this.#callbacks.reload();
    }) }, strays.length === 1 ? 'Use it' : 'Use them'), problem]));
    byId('night-date', HTMLInputElement).checked = withDate;
    byId('night-others', HTMLElement).hidden = over || others === 0;
    byId('night-others-words', HTMLElement).textContent =
      `Take in ${counted(others, 'reading')} of this date that ${others === 1 ? 'was' : 'were'} not entered from here`;
    const labels = sled?.gears.map(({ label }) => label) ?? [];
    if (this.#gears.dataset.labels === labels.join()) return; // drawn anew they would lose the focus
    this.#gears.dataset.labels = labels.join();
    // None of them submits: Enter in a field would press the first.
    this.#gears.replaceChildren(...labels.map((label) =>
      el('button', { type: 'button', value: label, onclick: () => submitting(this.#form, () => this.#send(label)) }, label)));
  }

  /** @param {string} gear */
  async #send(gear) {
    const sheet = /** @type {Sheet & {sled: string}} */ (this.#sheet);
    /** @type {Fault[]} */
    const faults = [];
    const field = control(this.#form, 'distance_ft');
    const distance = readQuantity(field, this.#units, faults);
    if (field.value.trim() === '') faults.push({ at: 'distance_ft', detail: 'How far was it to the spot where the box topped out?' });
    const start = this.#start.feet;
    if (start === null) faults.push({ at: 'start_ft', detail: this.#start.fault });
    throwFaults(faults);
    const label = `${isolated(sheet.sled_name)} ${settingWords(gear, start ?? 0, this.#units)}, ${noted(distance ?? 0, this.#units)}`;
    const outcome = await sendPull(this.#callbacks.send, {
      sheet, sled: sheet.sled, label, place: this.#status,
      pull: { gear, start_ft: start ?? 0, distance_ft: distance, ended: 'topped-out' },
    });
    if (!outcome) field.focus();
    if (outcome?.status === 'refused') showFaults(this.#form, outcome.problem);
    if (!outcome || outcome.status === 'refused') return;
    fillQuantity(field, undefined, this.#units);
    this.#stored(label, outcome.status === 'sent' ? outcome.answer?.id : undefined);
    if (outcome.status === 'sent') await this.#callbacks.reload();
  }

  /** @param {string} label @param {string|undefined} id  undefined while it waits, or its answer was lost */
  #stored(label, id) {
    const problem = el('p', { class: 'fault', role: 'alert', hidden: true });
    const undo = id && el('button', { type: 'button', onclick: () => attempt(problem, async () => {
      await patchReading(id, { set_aside: { reason: 'entered by mistake' } });
      this.#status.replaceChildren(el('p', { class: 'notice' }, `Taken back: ${label}.`));
      await this.#callbacks.reload();
    }) }, 'Undo');
    this.#status.replaceChildren(el('p', { class: 'notice' },
      id ? `Kept: ${label}. ` : `Kept on this phone: ${label}. It is sent once there is signal.`, undo), problem);
  }
}
