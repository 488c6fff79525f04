// @ts-check
// The load on the pan at the hook, halfway and at the top, what the checks find, and what to weigh next.

import { get, onlyLatest } from '../lib/api.js';
import { byId, el } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { picture } from '../lib/picture.js';
import { fillQuantity, readQuantity, switchField } from '../lib/quantities.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Sled } from '../model/types.js' */
/** @import { PanCheck, PanLoad, Weighing } from './types.js' */
/** @import { WeighingList } from './weighings.js' */

export class LoadSection {
  #path;
  #units;
  #list;
  #form = byId('load-form', HTMLFormElement);
  #inBox = byId('load-in-box', HTMLInputElement);
  #gear = byId('load-gear', HTMLSelectElement);
  #latest = onlyLatest();
  /** What is asked for, in pounds. @type {{in_box_lb: number, gear?: string}|undefined} */
  #asked;

  /** @param {string} path of the sled @param {Units} units @param {WeighingList} list */
  constructor(path, units, list) {
    this.#path = path;
    this.#units = units;
    this.#list = list;
    switchField(this.#inBox, units, units);
    onSubmit(this.#form, async () => {
      /** @type {Fault[]} */
      const faults = [];
      const inBox = readQuantity(this.#inBox, this.#units, faults) ?? 0;
      throwFaults(faults);
      this.#asked = { in_box_lb: inBox, gear: this.#gear.value || undefined };
      this.#render(await this.#get());
    });
  }

  /** @param {Units} units */
  setUnits(units) {
    switchField(this.#inBox, this.#units, units);
    this.#units = units;
    if (this.#asked) this.#latest(this.#get(), (load) => this.#render(load));
  }

  /** Shows the load with what was asked for; at first with the most that was weighed. @param {Sled} sled @param {Weighing[]} weighings */
  async show(sled, weighings) {
    const first = !this.#asked;
    this.#asked ??= { in_box_lb: heaviest(weighings) };
    let load = await this.#get();
    if (first) {
      const most = heaviest(weighings, load.weighings_from);
      if (most !== this.#asked.in_box_lb) {
        this.#asked = { in_box_lb: most };
        load = await this.#get();
      }
      fillQuantity(this.#inBox, most, this.#units);
      this.#gear.replaceChildren(el('option', { value: '' }, 'the box’s travel'),
        ...sled.gears.map(({ label }) => el('option', { value: label }, `a pull in ${label}`)));
    }
    this.#render(load);
    return load;
  }

  /** @returns {Promise<PanLoad>} */
  #get() {
    return get(`${this.#path}/pan-load`, { query: { ...this.#asked, units: this.#units } });
  }

  /** @param {PanLoad} load */
  #render(load) {
    const known = load.places.some(({ pan }) => pan);
    this.#form.hidden = load.weighings === 0;
    byId('load-headline', HTMLParagraphElement).textContent = load.in_words.headline;
    const lines = known ? load.in_words.lines : [];
    const alt = `Pan load of ${load.name}; the lines below have the numbers.`;
    byId('load-drawing', HTMLDivElement).replaceChildren(...(known
      ? [picture(`${this.#path}/pan-load.svg`, /** @type {Record<string, string|number>} */ ({ ...this.#asked, units: this.#units }), alt,
        load)] : []));
    byId('load-lines', HTMLUListElement).replaceChildren(...lines.map((text) => el('li', {}, text)));
    byId('checks', HTMLDivElement).replaceChildren(...(load.checks.length > 0
      ? [el('h3', {}, 'Worth a look'), el('ul', { class: 'checks' }, ...load.checks.map((check) => this.#check(check)))] : []));
    byId('next', HTMLElement).hidden = load.next.length === 0;
    byId('next-list', HTMLOListElement).replaceChildren(...load.next.map(({ detail }) => el('li', {}, detail)));
    byId('caution', HTMLParagraphElement).textContent = load.caution;
  }

  /** @param {PanCheck} check */
  #check({ weighing, others, detail, action }) {
    return el('li', {}, el('p', {}, detail), el('p', { class: 'action' }, action),
      el('div', { class: 'actions' },
        ...[weighing, ...others].filter((id) => id !== undefined).map((id, place) =>
          el('a', { class: 'button', href: `#weighing-${id}` }, place === 0 ? 'Show the weighing' : 'Show another')),
        weighing && this.#list.asideButton(weighing, detail)));
  }
}

/** The most in the box of the weighings that count. @param {Weighing[]} weighings @param {string} [from]  the first date that counts */
function heaviest(weighings, from = '') {
  return Math.max(0, ...weighings.filter(({ set_aside: aside, weighed_on: on }) => !aside && on >= from)
    .map(({ in_box_lb: inBox }) => inBox));
}
