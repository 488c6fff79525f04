// @ts-check
// The form that makes a pull of the show a reading. It only shows the fields that the ending needs.

import { chooseIn, chosenIn, control, el } from '../../lib/dom.js';
import { onSubmit, showFaults, throwFaults } from '../../lib/forms.js';
import { fillQuantity, quantityInput, readQuantity, switchFields } from '../../lib/quantities.js';
import { isolated } from '../../lib/text.js';
import { noted } from '../../lib/units.js';
import { settingWords } from '../../model/showwords.js';
import { endedWords } from '../../model/words.js';
import { sendPull } from './reading.js';

/** @import { Fault } from '../../lib/api.js' */
/** @import { Units } from '../../lib/units.js' */
/** @import { Sheet, SheetRow } from '../../model/showtypes.js' */
/** @import { Ended } from '../../model/types.js' */
/** @import { SendCallbacks } from './sending.js' */

/** @type {{value: Ended, label: string, hint: string, distance: string}[]} */
const ENDS = [
  { value: 'topped-out', label: 'Yes, marked', hint: 'The spot where the drive let the box go was marked and measured',
    distance: 'How far to that spot' },
  { value: 'stopped-short', label: 'It stopped short', hint: 'Before the box was at the top; the mark it stood at was read',
    distance: 'How far the sled was pulled' },
  { value: 'past-top', label: 'Neither', hint: 'The box topped out somewhere before the pull ended: it says no more than that',
    distance: 'How far the sled was pulled in the end' },
];
let count = 0;

export class PullForm {
  #units;
  #callbacks;
  #id = `pull-${++count}`;
  #about = el('p', {});
  #form;
  #distanceLabel = el('label', { for: `${this.#id}-distance` });
  #distance = el('div', { class: 'field', hidden: true }, this.#distanceLabel,
    quantityInput({ id: `${this.#id}-distance`, name: 'distance_ft' }, 'distance'));
  #end = el('div', { class: 'field', hidden: true }, el('label', { for: `${this.#id}-end` }, 'The box stopped at'),
    quantityInput({ id: `${this.#id}-end`, name: 'end_ft' }, 'distance', ' forward of full back'));
  #status = el('div', { role: 'status' });
  /** @type {{row: SheetRow, sheet: Sheet}|undefined} */
  #now;
  /** The setting of the pull. @type {{sled: string, gear: string, start_ft: number, name: string}|undefined} */
  #setting;
  element;

  /** @param {Units} units @param {SendCallbacks} callbacks */
  constructor(units, callbacks) {
    this.#units = units;
    this.#callbacks = callbacks;
    this.#form = el('form', { novalidate: true, class: 'panel pull', hidden: true },
      el('h3', {}, 'A pull as a reading'), this.#about,
      el('fieldset', { class: 'field', 'data-at': 'ended' },
        el('legend', {}, 'Was the spot marked where the box let go?'),
        el('div', { class: 'choices wide' }, ...ENDS.map(({ value, label, hint }) => el('label', { class: 'choice' },
          el('input', { type: 'radio', name: `${this.#id}-ended`, value }), el('span', {}, label, el('small', {}, hint)))))),
      this.#distance, this.#end,
      el('div', { class: 'actions' }, el('button', { class: 'primary', type: 'submit' }, 'Keep this reading'),
        el('button', { type: 'button', onclick: () => this.#close() }, 'Leave it')));
    this.element = el('div', {}, this.#form, this.#status);
    this.setUnits(units);
    this.#form.addEventListener('change', () => this.#showFields());
    onSubmit(this.#form, () => this.#send());
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.#form, this.#units, units);
    this.#units = units;
    this.#describe();
  }

  /** @param {SheetRow} row @param {Sheet} sheet */
  show(row, sheet) {
    this.#now = { row, sheet };
  }

  /** @param {{sled: string, gear: string, start_ft: number}} setting @param {string} name of the sled */
  open(setting, name) {
    this.#setting = { ...setting, name };
    this.#form.hidden = false;
    this.#status.replaceChildren();
    this.#describe();
    this.#form.scrollIntoView({ block: 'nearest' });
    this.#form.querySelector('input')?.focus({ preventScroll: true });
  }

  #describe() {
    const it = this.#setting;
    if (it) this.#about.textContent = `${isolated(it.name)}, gear ${settingWords(it.gear, it.start_ft, this.#units)}.`;
  }

  #close() {
    this.#form.hidden = true;
  }

  /** @returns {Ended|''} */
  #ended() {
    return /** @type {Ended|''} */ (chosenIn(this.#form));
  }

  #showFields() {
    const ended = ENDS.find(({ value }) => value === this.#ended());
    this.#distance.hidden = !ended;
    this.#distanceLabel.textContent = ended?.distance ?? '';
    this.#end.hidden = ended?.value !== 'stopped-short';
  }

  async #send() {
    const { row, sheet } = /** @type {{row: SheetRow, sheet: Sheet}} */ (this.#now);
    const it = /** @type {{sled: string, gear: string, start_ft: number, name: string}} */ (this.#setting);
    const ended = this.#ended();
    /** @type {Fault[]} */
    const faults = [];
    if (!ended) faults.push({ at: 'ended', detail: 'Say which it was: it decides what the pull is worth.' });
    const feet = (/** @type {string} */ name, /** @type {string} */ missing) => {
      const field = control(this.#form, name);
      if (field.value.trim() === '') faults.push({ at: name, detail: missing });
      return readQuantity(field, this.#units, faults);
    };
    const distance = ended ? feet('distance_ft', 'How far was the sled pulled?') : undefined;
    const end = ended === 'stopped-short' ? feet('end_ft', 'At which mark did the box stop?') : undefined;
    throwFaults(faults);
    const words = `${isolated(it.gear)} on ${isolated(it.name)}, ${noted(distance ?? 0, this.#units)}, ` +
      endedWords(/** @type {Ended} */ (ended));
    const outcome = await sendPull(this.#callbacks.send, {
      sheet, sled: it.sled, label: words, place: this.#status,
      pull: { gear: it.gear, start_ft: it.start_ft, distance_ft: distance, ended, end_ft: end, note: row.name },
    });
    if (!outcome) return;
    if (outcome.status === 'refused') {
      showFaults(this.#form, outcome.problem);
      return;
    }
    for (const name of ['distance_ft', 'end_ft']) fillQuantity(control(this.#form, name), undefined, this.#units);
    // The ending has no default.
    chooseIn(this.#form, undefined);
    this.#showFields();
    this.#close();
    this.#status.replaceChildren(el('p', { class: 'notice' }, outcome.status === 'waiting'
      ? `Kept on this phone: ${words}. It is sent once there is signal.`
      : `Kept: ${words}. It is among the readings of ${isolated(it.name)}.`));
    // The reading changes the chart and with it the sheet.
    if (outcome.status === 'sent') await this.#callbacks.reload();
  }
}
