// @ts-check
// The running order of a show: buttons add, remove and move classes.

import { el } from '../lib/dom.js';

/** @import { PullingClass } from '../model/showtypes.js' */

export class RunningOrder {
  #classes;
  /** @type {string[]} */
  #order = [];
  #list = el('ol', { class: 'order' });
  #add = el('select', { 'aria-label': 'Class to add' });
  #status = el('p', { role: 'status', class: 'unseen' });
  /** The element for the form. */
  element;

  /** @param {PullingClass[]} classes all classes @param {string[]} order */
  constructor(classes, order) {
    this.#classes = classes;
    this.element = el('fieldset', { class: 'field', 'data-at': 'classes' },
      el('legend', {}, 'Classes in running order'), this.#list,
      el('div', { class: 'actions' }, this.#add,
        el('button', { type: 'button', onclick: () => this.#append([this.#add.value]) }, 'Add'),
        el('button', { type: 'button', onclick: () => this.#append(this.#available().map(({ id }) => id)) }, 'Add all')),
      this.#status);
    this.order = order;
  }

  get order() {
    return [...this.#order];
  }

  set order(order) {
    this.#order = [...order];
    this.#show();
  }

  /** Updates the classes. @param {PullingClass[]} classes */
  set classes(classes) {
    this.#classes = classes;
    this.#show();
  }

  #available() {
    return this.#classes.filter(({ id }) => !this.#order.includes(id));
  }

  /** @param {string} id */
  #name(id) {
    return this.#classes.find((one) => one.id === id)?.name ?? id;
  }

  #show() {
    const chosen = this.#add.value;
    const available = this.#available();
    this.#add.replaceChildren(...available.map(({ id, name }) => el('option', { value: id }, name)));
    if (available.some(({ id }) => id === chosen)) this.#add.value = chosen;
    for (const part of /** @type {HTMLElement[]} */ ([...(this.#add.parentElement?.children ?? [])])) part.hidden = available.length === 0;
    this.#list.replaceChildren(...this.#order.map((id, place) => this.#item(id, place)));
  }

  /** @param {string} id @param {number} place */
  #item(id, place) {
    const name = this.#name(id);
    const move = (/** @type {number} */ by, /** @type {string} */ sign, /** @type {string} */ where) => {
      const disabled = place + by < 0 || place + by >= this.#order.length ? 'true' : null;
      const attributes = { type: 'button', 'aria-label': `Move ${name} ${where}`, 'data-move': by, 'aria-disabled': disabled };
      return el('button', { ...attributes, onclick: () => this.#move(place, by) }, sign);
    };
    return el('li', {}, el('span', { class: 'name' }, name),
      el('span', { class: 'buttons' }, move(-1, '↑', 'up'), move(1, '↓', 'down'),
        el('button', { type: 'button', 'aria-label': `Take out ${name}`, onclick: () => this.#remove(place) }, 'Take out')));
  }

  /** @param {number} place @param {number} by */
  #move(place, by) {
    if (place + by < 0 || place + by >= this.#order.length) return;
    const [id] = this.#order.splice(place, 1);
    this.#order.splice(place + by, 0, id);
    this.#show();
    // The focus follows the class, so that a second press moves it again.
    const buttons = this.#list.children[place + by].querySelectorAll('button[data-move]');
    /** @type {HTMLElement} */ (buttons[by < 0 ? 0 : 1]).focus();
    this.#status.textContent = `${this.#name(id)} is number ${place + by + 1} of ${this.#order.length}.`;
    this.#changed();
  }

  /** @param {number} place */
  #remove(place) {
    const [id] = this.#order.splice(place, 1);
    this.#show();
    this.#status.textContent = `${this.#name(id)} is taken out.`;
    /** @type {HTMLElement} */ (this.#list.children[Math.min(place, this.#order.length - 1)]?.querySelector('button') ?? this.#add).focus();
    this.#changed();
  }

  /** @param {string[]} ids */
  #append(ids) {
    const added = ids.filter((id) => id && !this.#order.includes(id));
    this.#order.push(...added);
    this.#show();
    this.#status.textContent = added.length === 1 ? `${this.#name(added[0])} is added.` : `${added.length} classes are added.`;
    this.#changed();
  }

  #changed() {
    this.element.dispatchEvent(new Event('change', { bubbles: true }));
  }
}
