// @ts-check
// The fields of a setting: sled, gear, start position.

import { el, field } from '../lib/dom.js';
import { StartField } from '../lib/lengthfield.js';
import { fillQuantity, quantityIn, quantityInput, readQuantity, switchFields } from '../lib/quantities.js';
import { chosenGear, gearChoices } from '../model/gears.js';
import { anyWeighed, NO_SLED, offerSleds } from '../model/sleds.js';
import { BLOCKS, WeighedFields } from '../model/weighedfields.js';
import { startStepper } from './stepper.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Sled } from '../model/types.js' */

/**
 * A gear of a sled, or a distance in place of both.
 * @typedef {{sled?: string, gear?: string, top_out_ft?: number, start_ft: number, in_box_lb?: number, on_pan_lb?: number}} Setting
 */

const SETTING = /** @type {const} */ (['sled', 'gear', 'top_out_ft', 'start_ft']);

let count = 0;

export class SettingField {
  #at;
  #sleds;
  #sled;
  #gears;
  #start;
  #none;
  #units;
  #gearField;
  #far;
  #farField;
  #weights;
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
    const far = quantityInput({ id: `${id}-far`, name: `${at}.top_out_ft` }, 'distance');
    this.#far = /** @type {HTMLInputElement} */ (far.querySelector('input'));
    this.#farField = el('div', { class: 'field' }, el('label', { for: this.#far.id }, 'The box tops out at'), far,
      el('p', { class: 'hint' }, 'On whatever sled is booked.'));
    this.#units = units;
    switchFields(this.#farField, units, units);
    this.#gearField = el('fieldset', { class: 'field', 'data-at': `${at}.gear` }, el('legend', {}, 'Gear'), this.#gears);
    this.#weights = new WeighedFields(id, `${at}.`, units, anyWeighed(sleds), BLOCKS);
    this.element = el('div', { class: 'setting' }, field(labels.sled, this.#sled), this.#gearField, this.#farField, stepper,
      this.#weights.element);
    this.#sled.addEventListener('change', () => this.#showGears(''));
    this.#none = optional ? 'No setting of its own' : 'Pick a sled';
    this.show(null);
  }

  /** @param {Setting|null} setting */
  show(setting) {
    const chosen = setting?.top_out_ft === undefined ? setting?.sled ?? '' : NO_SLED;
    offerSleds(this.#sled, this.#sleds, chosen, this.#none, { distance: 'No sled: a distance' });
    fillQuantity(this.#far, setting?.top_out_ft, this.#units);
    this.#weights.show(setting ?? {});
    this.#showGears(setting?.gear ?? '');
    this.#start.field.feet = setting?.start_ft ?? 0;
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#start.field.setUnits(units);
    switchFields(this.#farField, this.#units, units);
    this.#weights.setUnits(units);
    this.#units = units;
  }

  /** @param {string} chosen */
  #showGears(chosen) {
    const sled = this.#sleds.find(({ id }) => id === this.#sled.value);
    this.#gearField.hidden = this.#sled.value === NO_SLED;
    this.#farField.hidden = this.#sled.value !== NO_SLED;
    this.#start.field.railMarkFt = sled?.rail_mark_ft || 0.5;
    this.#gears.replaceChildren(...(sled
      ? gearChoices(`${this.#at}.gear-${this.#sled.id}`, sled.gears.map(({ label }) => label), chosen)
      : [el('p', { class: 'hint' }, 'Pick the sled first.')]));
  }

  /** Whether another setting is typed than that. @param {Setting|null} setting */
  differs(setting) {
    return SETTING.some((name) => this.#typed?.[name] !== setting?.[name]) || this.#weights.differ(setting ?? {});
  }

  /** The typed setting without its weights, unchecked. @returns {Setting|null} */
  get #typed() {
    const { value: sled } = this.#sled;
    const start_ft = this.#start.field.feet ?? NaN;
    if (sled === NO_SLED) return { top_out_ft: quantityIn(this.#far, this.#units) ?? NaN, start_ft };
    return sled === '' ? null : { sled, gear: chosenGear(this.#gears), start_ft };
  }

  /** The setting; null without a sled. @param {Fault[]} faults @returns {Setting|null} */
  read(faults) {
    const typed = this.#typed;
    if (!typed) return null;
    if (typed.sled && !typed.gear) faults.push({ at: `${this.#at}.gear`, detail: 'Pick the gear.' });
    if (!typed.sled && readQuantity(this.#far, this.#units, faults) === undefined && this.#far.value.trim() === '') {
      faults.push({ at: this.#far.name, detail: 'Where does the box top out?' });
    }
    if (Number.isNaN(typed.start_ft)) faults.push({ at: `${this.#at}.start_ft`, detail: this.#start.field.fault });
    return { ...typed, ...this.#weights.read(faults) };
  }
}
