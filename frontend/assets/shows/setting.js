// @ts-check
// The fields of a setting: sled, gear, start position.

import { el, field } from '../lib/dom.js';
import { StartField } from '../lib/lengthfield.js';
import { chosenGear, gearChoices } from '../model/gears.js';
import { offerSleds } from '../model/sleds.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Sled } from '../model/types.js' */

/** @typedef {{sled: string, gear: string, start_ft: number}} Setting */

let count = 0;

/**
 * A stepper for a start position, with a label.
 * @param {string} id
 * @param {string} name
 * @param {string} label
 */
export function startStepper(id, name, label) {
  const input = el('input', { id, name, inputmode: 'decimal', autocomplete: 'off', value: '0' });
  const stepper = el('div', { class: 'field' },
    el('label', { for: id }, label),
    el('div', { class: 'stepper' },
      el('button', { type: 'button', 'data-step': '-1', 'aria-label': 'Further back' }, '−'), input,
      el('button', { type: 'button', 'data-step': '1', 'aria-label': 'Further forward' }, '+'),
      el('span', { 'data-unit': true }, 'ft')),
    el('p', { class: 'hint' }, 'Forward of full back; 0 is full back.'));
  return { stepper, input };
}

export class SettingField {
  #at;
  #sleds;
  #sled;
  #gears;
  #start;
  #none;
  /** The element for the form. */
  element;

  /**
   * @param {string} at     name of the field in the API: setting or pull_off
   * @param {Sled[]} sleds
   * @param {Units} units
   * @param {{sled: string, start: string}} labels
   * @param {boolean} [optional]  without a sled there is no setting
   */
  constructor(at, sleds, units, labels, optional = false) {
    const id = `${at}-${++count}`;
    this.#at = at;
    this.#sleds = sleds;
    this.#sled = el('select', { id: `${id}-sled`, name: `${at}.sled` });
    this.#gears = el('div', { class: 'choices' });
    const { stepper, input } = startStepper(`${id}-start`, `${at}.start_ft`, labels.start);
    this.#start = { field: new StartField(input, units), input };
    this.element = el('div', { class: 'setting' },
      field(labels.sled, this.#sled),
      el('fieldset', { class: 'field', 'data-at': `${at}.gear` }, el('legend', {}, 'Gear'), this.#gears), stepper);
    this.#sled.addEventListener('change', () => this.#showGears(''));
    this.#none = optional ? 'No setting of its own' : 'Pick a sled';
    this.show(null);
  }

  /** @param {Setting|null} setting */
  show(setting) {
    const chosen = setting?.sled ?? '';
    offerSleds(this.#sled, this.#sleds, chosen, this.#none);
    this.#showGears(setting?.gear ?? '');
    this.#start.field.feet = setting?.start_ft ?? 0;
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#start.field.setUnits(units);
  }

  /** @param {string} chosen */
  #showGears(chosen) {
    const sled = this.#sleds.find(({ id }) => id === this.#sled.value);
    this.#start.field.railMarkFt = sled?.rail_mark_ft || 0.5;
    this.#gears.replaceChildren(...(sled
      ? gearChoices(`${this.#at}.gear-${this.#sled.id}`, sled.gears.map(({ label }) => label), chosen)
      : [el('p', { class: 'hint' }, 'Pick the sled first.')]));
  }

  /** The typed setting, unchecked, to detect edits. @returns {Setting|null} */
  get typed() {
    return this.#sled.value === ''
      ? null
      : { sled: this.#sled.value, gear: chosenGear(this.#gears), start_ft: this.#start.field.feet ?? NaN };
  }

  /** The setting; null without a sled. @param {Fault[]} faults @returns {Setting|null} */
  read(faults) {
    const typed = this.typed;
    if (!typed) return null;
    if (!typed.gear) faults.push({ at: `${this.#at}.gear`, detail: 'Pick the gear.' });
    if (Number.isNaN(typed.start_ft)) faults.push({ at: `${this.#at}.start_ft`, detail: this.#start.field.fault });
    return typed;
  }
}
