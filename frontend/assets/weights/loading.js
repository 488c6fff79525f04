// @ts-check
// The form for what is known of a sled's load besides weighings: lengths, empty box, blocks, limits.

import { withKey } from '../account/key.js';
import { request } from '../lib/api.js';
import { saveOrReload } from '../lib/conflict.js';
import { byId, control, el } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { fillQuantity, finelyNoted, quantityIn, quantityInput, readQuantity, switchFields } from '../lib/quantities.js';
import { weightWords } from '../lib/units.js';
import { blockWords, sledInput } from '../model/sleds.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Block, Sled } from '../model/types.js' */

const QUANTITIES = /** @type {const} */ (['tandem_to_pan_ft', 'tandem_to_pan_plus_minus_ft', 'empty_box_lb', 'empty_box_plus_minus_lb',
  'box_ahead_of_tandem_ft', 'box_ahead_of_tandem_plus_minus_ft', 'most_in_box_lb', 'most_on_pan_lb', 'most_on_tandem_lb']);

export class LoadingForm {
  #path;
  #units;
  #saved;
  #form = byId('loading-form', HTMLFormElement);
  #rows = byId('loading-blocks', HTMLOListElement);
  #note = byId('loading-changed', HTMLDivElement);
  /** The sled when the form was filled, and its ETag. @type {{sled: Sled, etag: string}|undefined} */
  #base;

  /** @param {string} path of the sled @param {Units} units @param {() => Promise<void>} saved */
  constructor(path, units, saved) {
    this.#path = path;
    this.#units = units;
    this.#saved = saved;
    switchFields(this.#form, units, units);
    byId('loading-add-block', HTMLButtonElement).addEventListener('click', () => {
      this.#rows.append(this.#blockRow());
      /** @type {HTMLInputElement|null} */ (this.#rows.querySelector('li:last-child input'))?.focus();
    });
    onSubmit(this.#form, () => this.#save());
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.#form, this.#units, units);
    this.#units = units;
    this.#showFacts();
  }

  /** Shows the sled. Typed values stay; the result names them. @param {Sled} sled @param {string} etag */
  show(sled, etag) {
    const before = this.#base?.sled.loading;
    const now = sled.loading ?? {};
    const preserved = [];
    for (const name of QUANTITIES) {
      const input = this.#input(name);
      if (!this.#base || quantityIn(input, this.#units) === before?.[name]) fillQuantity(input, now[name], this.#units);
      else preserved.push(input.labels?.[0].textContent ?? name);
    }
    const blocks = (before?.blocks ?? []).map(({ lb, count }) => ({ lb, count }));
    if (!this.#base || JSON.stringify(this.#blocks([])) === JSON.stringify(blocks)) {
      this.#rows.replaceChildren(...(now.blocks ?? []).map((block) => this.#blockRow(block)));
    } else preserved.push('Blocks');
    this.#base = { sled, etag };
    this.#showFacts();
    return preserved;
  }

  #showFacts() {
    const { tandem_to_pan_ft: length, empty_box_lb: box, blocks = [] } = this.#base?.sled.loading ?? {};
    byId('loading-facts', HTMLParagraphElement).textContent = [
      length === undefined ? 'tandem to pan pin not taped' : `tandem to pan pin ${finelyNoted(length, this.#units)}`,
      box === undefined ? 'empty box not known' : `empty box ${weightWords(box, this.#units)}`,
      blocks.length === 0 ? 'no blocks on file' : `blocks: ${blockWords(blocks, this.#units)}`,
    ].join('\u00a0· ');
  }

  /** @param {string} name */
  #input(name) {
    return control(this.#form, `loading.${name}`);
  }

  /** @param {Block} [block] */
  #blockRow(block) {
    const count = el('input', { inputmode: 'numeric', autocomplete: 'off', 'aria-label': 'How many', value: block?.count ?? '' });
    const weight = quantityInput({ 'aria-label': 'Weight of each' }, 'weight');
    const item = el('li', {}, count, ' of ', weight,
      el('button', { type: 'button', 'aria-label': 'Take out these blocks', onclick: () => item.remove() }, 'Take out'));
    switchFields(item, this.#units, this.#units);
    fillQuantity(/** @type {HTMLInputElement} */ (weight.querySelector('input')), block?.lb, this.#units);
    return item;
  }

  /** The blocks as typed. @param {Fault[]} faults */
  #blocks(faults) {
    return [...this.#rows.children].map((item, place) => {
      const [count, weight] = item.querySelectorAll('input');
      count.dataset.at = `loading.blocks[${place}].count`;
      weight.dataset.at = weight.name = `loading.blocks[${place}].lb`;
      if (!/^\d+$/.test(count.value.trim())) faults.push({ at: count.dataset.at, detail: 'How many? A whole number.' });
      if (weight.value.trim() === '') faults.push({ at: weight.name, detail: 'How much does each weigh?' });
      return { lb: readQuantity(weight, this.#units, faults), count: Number(count.value) };
    });
  }

  async #save() {
    const base = this.#base;
    if (!base) return;
    /** @type {Fault[]} */
    const faults = [];
    const loading = Object.fromEntries(QUANTITIES.map((name) => [name, readQuantity(this.#input(name), this.#units, faults)]));
    const blocks = this.#blocks(faults);
    throwFaults(faults);
    const body = { ...sledInput(base.sled), loading: { ...loading, blocks: blocks.length > 0 ? blocks : undefined } };
    await saveOrReload(this.#form, this.#note, async () => {
      const { data, etag } = /** @type {{data: Sled, etag: string}} */ (
        await withKey(() => request('PUT', this.#path, { body, ifMatch: base.etag })));
      this.#base = undefined;
      this.show(data, etag);
      this.#note.replaceChildren(el('p', { class: 'notice' }, 'Saved.'));
      await this.#saved();
    }, async () => {
      const { data, etag } = /** @type {{data: Sled, etag: string}} */ (await request('GET', this.#path));
      return this.show(data, etag);
    });
  }
}
