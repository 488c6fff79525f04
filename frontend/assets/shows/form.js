// @ts-check
// The fields of a show, new or existing.

import { control, el, field } from '../lib/dom.js';
import { WeighedFields } from '../model/weighedfields.js';
import { RunningOrder } from './order.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { PullingClass, Show } from '../model/showtypes.js' */

export const TEXTS = /** @type {const} */ (['name', 'date', 'place', 'zone', 'promoter', 'notes']);

export class ShowFields {
  #form;
  #order;
  /** How long the track is. */
  track;

  /**
   * Adds the fields to a form, before its other contents.
   * @param {HTMLFormElement} form
   * @param {string} id  prefix of the field ids
   * @param {PullingClass[]} classes
   * @param {Units} units
   * @param {boolean} weighed  whether a sled was
   */
  constructor(form, id, classes, units, weighed) {
    this.#form = form;
    this.#order = new RunningOrder(classes, []);
    this.track = new WeighedFields(id, '', units, weighed, [{ name: 'full_pull_ft', label: 'Full pull', kind: 'distance',
      hint: 'How long the track is. The sheet then says whether the box tops out before its end.' }]);
    /** @type {(name: string, label: string, hint?: string, more?: Record<string, string|(() => void)>) => HTMLElement} */
    const text = (name, label, hint = '', more = {}) =>
      field(label, el('input', { id: `${id}-${name}`, name, autocomplete: 'off', ...more }), hint);
    // Several hundred: listed when somebody comes to the field.
    const zones = el('datalist', { id: `${id}-zones` });
    const listZones = () => zones.replaceChildren(...Intl.supportedValuesOf('timeZone').map((value) => el('option', { value })));
    form.prepend(
      text('name', 'Name'),
      el('div', { class: 'grid' }, text('date', 'Date', '', { type: 'date' }),
        text('place', 'Place', 'Written the same each time, it finds what a class ran on here before.'),
        text('zone', 'Time zone', 'Of the place, like America/Chicago. A new show without one has that of the server.',
          { list: zones.id, onfocus: listZones }),
        text('promoter', 'Promoter')),
      zones,
      this.track.element, this.#order.element,
      field('Notes', el('textarea', { id: `${id}-notes`, name: 'notes' })));
  }

  /** @param {Partial<Show>} show */
  show(show) {
    for (const name of TEXTS) control(this.#form, name).value = show[name] ?? '';
    this.track.show(show);
    this.#order.order = show.classes ?? [];
  }

  /** @param {(typeof TEXTS)[number]} name */
  text(name) {
    return control(this.#form, name).value.trim();
  }

  /** @param {(typeof TEXTS)[number]} name @param {string} text */
  setText(name, text) {
    control(this.#form, name).value = text;
  }

  get order() {
    return this.#order.order;
  }

  set order(order) {
    this.#order.order = order;
  }

  /** Disables the running order of a show that is over. @param {boolean} fixed */
  set fixed(fixed) {
    this.#order.element.disabled = fixed;
  }

  /** @param {PullingClass[]} classes */
  set classes(classes) {
    this.#order.classes = classes;
  }

  /** The typed values as the API accepts them, without the sled. @param {Fault[]} faults */
  read(faults) {
    if (!this.text('name')) faults.push({ at: 'name', detail: 'A show needs a name.' });
    if (!this.text('date')) faults.push({ at: 'date', detail: 'Give the date.' });
    const text = (/** @type {(typeof TEXTS)[number]} */ name) => this.text(name) || undefined;
    return {
      name: this.text('name'), date: this.text('date'), place: text('place'), zone: text('zone'), promoter: text('promoter'),
      notes: text('notes'), classes: this.order, ...this.track.read(faults),
    };
  }
}
