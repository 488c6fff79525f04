// @ts-check
// The form that corrects a sled's parts. A correction does not carry readings, unlike a change.

import { withKey } from '../account/key.js';
import { Problem, request } from '../lib/api.js';
import { saveOrReload } from '../lib/conflict.js';
import { byId, el } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { sentence } from '../lib/text.js';
import { sledInput } from '../model/sleds.js';
import { PartFields } from './fields.js';
import { notedWords, unknownWords } from './words.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { PartsSled } from './types.js' */

export class PartsForm {
  #path;
  #saved;
  #form = byId('parts-form', HTMLFormElement);
  #note = byId('parts-changed', HTMLDivElement);
  #fields;
  #units;
  /** The sled when the form was filled. @type {PartsSled|undefined} */
  #base;
  #etag = '';

  /** @param {string} path @param {Units} units @param {() => Promise<void>} saved reloads everything that depends on the parts */
  constructor(path, units, saved) {
    this.#path = path;
    this.#saved = saved;
    this.#units = units;
    this.#fields = new PartFields('parts', units, false);
    byId('parts-fields', HTMLDivElement).append(this.#fields.element);
    onSubmit(this.#form, () => this.#save());
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#fields.setUnits(units);
    this.#units = units;
    if (this.#base) this.#showNoted(this.#base);
  }

  /** Shows the sled. Typed values stay; the result names them. @param {PartsSled} sled @param {string} etag */
  show(sled, etag) {
    const preserved = this.#fields.show(sled);
    this.#showNoted(sled);
    const changed = this.#base !== undefined && sled.revision !== this.#base.revision;
    this.#base = sled;
    this.#etag = etag;
    if (changed && preserved.length > 0) this.#say(`The sled has changed. Kept as you typed them: ${preserved.join(', ')}.`);
    return preserved;
  }

  /** @param {PartsSled} sled */
  #showNoted(sled) {
    byId('noted-parts', HTMLParagraphElement).textContent = sentence(notedWords(sled, this.#units));
    byId('unknown-parts', HTMLParagraphElement).textContent = unknownWords(sled);
  }

  /** @param {string} text */
  #say(text) {
    this.#note.replaceChildren(el('p', { class: 'notice' }, text));
  }

  async #save() {
    const base = this.#base;
    if (!base) throw new Problem(0, 'Not ready', 'The sled is still being read. Try again in a moment.');
    /** @type {Fault[]} */
    const faults = [];
    const { driveline, gears } = this.#fields.read(faults);
    throwFaults(faults);
    const body = { ...sledInput(base), driveline, gears };
    await saveOrReload(this.#form, this.#note, async () => {
      const { data, etag } = /** @type {{data: PartsSled, etag: string}} */ (
        await withKey(() => request('PUT', this.#path, { body, ifMatch: this.#etag })));
      this.#base = data;
      this.#etag = etag;
      this.#fields.show(data, false);
      this.#say('Saved as a correction. No reading was moved.');
      await this.#saved();
    }, async () => {
      const { data, etag } = /** @type {{data: PartsSled, etag: string}} */ (await request('GET', this.#path));
      return this.show(data, etag);
    });
  }
}
