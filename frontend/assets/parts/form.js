// @ts-check
// The parts that are noted of a sled, as a form. Saving corrects what was noted wrongly and carries nothing.

import { withKey } from '../account/key.js';
import { Problem, request } from '../lib/api.js';
import { byId, el } from '../lib/dom.js';
import { refuse, submitting } from '../lib/forms.js';
import { sentence } from '../lib/text.js';
import { PartFields } from './fields.js';
import { notedWords, unknownWords } from './words.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { PartsSled } from './types.js' */

// What the server makes itself and does not take back.
const ITS_OWN = ['id', 'readings', 'revision', 'created_at', 'updated_at'];

export class PartsForm {
  #path;
  #saved;
  #form = byId('parts-form', HTMLFormElement);
  #note = byId('parts-changed', HTMLDivElement);
  #fields;
  #units;
  /** The sled that the form was filled from. @type {PartsSled|undefined} */
  #base;
  #etag = '';

  /**
   * @param {string} path
   * @param {Units} units
   * @param {() => Promise<void>} saved  everything that follows from the parts is to be read again
   */
  constructor(path, units, saved) {
    this.#path = path;
    this.#saved = saved;
    this.#units = units;
    this.#fields = new PartFields('parts', units, false);
    byId('parts-fields', HTMLDivElement).append(this.#fields.element);
    this.#form.addEventListener('submit', (event) => {
      event.preventDefault();
      submitting(this.#form, () => this.#save());
    });
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#fields.setUnits(units);
    this.#units = units;
    if (this.#base) this.#showNoted(this.#base);
  }

  /** Shows the sled as it is now; what somebody is typing stays. @param {PartsSled} sled @param {string} etag */
  show(sled, etag) {
    const kept = this.#fields.show(sled);
    this.#showNoted(sled);
    const changed = this.#base !== undefined && sled.revision !== this.#base.revision;
    this.#base = sled;
    this.#etag = etag;
    if (changed && kept.length > 0) this.#say(`The sled has changed. Kept as you typed them: ${kept.join(', ')}.`);
    return kept;
  }

  /** @param {PartsSled} sled */
  #showNoted(sled) {
    byId('noted-parts', HTMLParagraphElement).textContent = sentence(notedWords(sled, this.#units));
    byId('unknown-parts', HTMLParagraphElement).textContent = unknownWords(sled);
  }

  /** @param {string} text @param {...Node} more */
  #say(text, ...more) {
    this.#note.replaceChildren(el('p', { class: 'notice' }, text), ...more);
  }

  async #save() {
    const base = this.#base;
    if (!base) throw new Problem(0, 'Not ready', 'The sled is still being read. Try again in a moment.');
    /** @type {Fault[]} */
    const faults = [];
    const { driveline, gears } = this.#fields.read(faults);
    refuse(faults);
    /** @type {Record<string, unknown>} */
    const correction = { ...base, driveline, gears };
    for (const name of ITS_OWN) delete correction[name];
    try {
      const { data, etag } = /** @type {{data: PartsSled, etag: string}} */ (
        await withKey(() => request('PUT', this.#path, { body: correction, ifMatch: this.#etag })));
      this.#base = data;
      this.#etag = etag;
      this.#fields.show(data, false);
      this.#say('Saved as a correction. No reading was moved.');
    } catch (error) {
      if (!(error instanceof Problem) || error.status !== 412) throw error;
      this.#offerReload(error.message);
      return;
    }
    await this.#saved();
  }

  /** @param {string} why */
  #offerReload(why) {
    const button = el('button', { type: 'button' }, 'Load what is there now and keep what I typed');
    button.addEventListener('click', () => submitting(this.#form, async () => {
      const { data, etag } = /** @type {{data: PartsSled, etag: string}} */ (await request('GET', this.#path));
      const kept = this.show(data, etag);
      this.#say(kept.length > 0 ? `Loaded. Kept as you typed them: ${kept.join(', ')}. Look it over and save again.` : 'Loaded. There is nothing left to save.');
    }));
    this.#say(`${why} Nothing was saved, and what you typed is still here.`, button);
    button.focus();
  }
}
