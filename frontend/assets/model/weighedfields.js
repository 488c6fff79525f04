// @ts-check
// Quantity fields of a form that are there only once a sled was weighed, or where one of them has a value.

import { el } from '../lib/dom.js';
import { fillQuantity, quantityIn, quantityInput, readQuantity, switchFields } from '../lib/quantities.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Kind } from '../lib/quantities.js' */
/** @import { Units } from '../lib/units.js' */

/** @typedef {{name: string, label: string, kind: Kind, hint?: string}} Spec  the name is that in the API */
/** @typedef {{[name: string]: any}} Values */

/** @type {Spec[]} */
export const BLOCKS = [
  { name: 'in_box_lb', label: 'Blocks in the box', kind: 'weight' }, { name: 'on_pan_lb', label: 'Blocks on the pan', kind: 'weight' },
];

export class WeighedFields {
  #units;
  #weighed;
  /** @type {Map<string, HTMLInputElement>} */
  #inputs = new Map();
  element = el('div', { class: 'grid' });

  /**
   * @param {string} id  prefix of the ids
   * @param {string} at  prefix of the names, empty or with its period
   * @param {Units} units
   * @param {boolean} weighed  whether a sled was
   * @param {Spec[]} specs
   */
  constructor(id, at, units, weighed, specs) {
    this.#units = units;
    this.#weighed = weighed;
    for (const { name, label, kind, hint } of specs) {
      const place = quantityInput({ id: `${id}-${name}`, name: at + name }, kind);
      this.#inputs.set(name, /** @type {HTMLInputElement} */ (place.querySelector('input')));
      this.element.append(el('div', { class: 'field' }, el('label', { for: `${id}-${name}` }, label), place,
        hint && el('p', { class: 'hint' }, hint)));
    }
    switchFields(this.element, units, units);
    this.show({});
  }

  /** @param {Values} values */
  show(values) {
    let any = false;
    for (const [name, input] of this.#inputs) {
      fillQuantity(input, values[name], this.#units);
      any ||= values[name] !== undefined;
    }
    this.element.hidden = !this.#weighed && !any;
  }

  /** Whether the sled of the form was weighed. @param {boolean} weighed */
  set weighed(weighed) {
    this.#weighed = weighed;
    this.element.hidden = !weighed;
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.element, this.#units, units);
    this.#units = units;
  }

  /** Whether other values are typed than those. @param {Values} values */
  differ(values) {
    return [...this.#inputs].some(([name, input]) => quantityIn(input, this.#units) !== values[name]);
  }

  /** The values by name, undefined where empty. @param {Fault[]} faults @returns {Record<string, number|undefined>} */
  read(faults) {
    return Object.fromEntries([...this.#inputs].map(([name, input]) => [name, readQuantity(input, this.#units, faults)]));
  }
}
