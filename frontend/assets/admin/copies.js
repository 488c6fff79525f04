// @ts-check
// Export of the whole fleet as a file, and import into an empty installation.

import { withKey } from '../account/key.js';
import { get, getAll, messageOf } from '../lib/api.js';
import { byId, el } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { counted } from '../lib/text.js';
import { upload } from '../lib/upload.js';

/** @typedef {{sleds: number, readings: number, classes: number, shows: number}} Imported */

export class Copies {
  #callbacks;
  #form = byId('fleet-form', HTMLFormElement);
  #file = byId('fleet-file', HTMLInputElement);

  /** @param {{changed: () => Promise<void>}} callbacks  called after an import */
  constructor(callbacks) {
    this.#callbacks = callbacks;
    onSubmit(this.#form, () => this.#bringIn());
  }

  /** Shows the import form in an empty installation, else why there is none. */
  async load() {
    const full = byId('import-full', HTMLParagraphElement);
    try {
      const [sleds, { items: classes }, { items: shows }] = await Promise.all([
        getAll('/v1/sleds'),
        /** @type {Promise<{items: unknown[]}>} */ (get('/v1/classes', { query: { limit: 1 } })),
        /** @type {Promise<{items: unknown[]}>} */ (get('/v1/shows', { query: { limit: 1 } })),
      ]);
      const empty = sleds.length + classes.length + shows.length === 0;
      this.#form.hidden = !empty;
      full.hidden = empty;
      const has = sleds.length > 0 ? counted(sleds.length, 'sled') : 'classes or shows';
      full.replaceChildren(`A fleet comes only into an empty installation, and this one holds ${has}. `,
        'To bring one in, start the program with another database, ',
        el('code', {}, '--db other.db'), ', and do it there.');
    } catch (error) {
      full.hidden = false;
      full.textContent = messageOf(error);
    }
  }

  async #bringIn() {
    const status = byId('fleet-status', HTMLDivElement);
    status.replaceChildren();
    const file = this.#file.files?.[0];
    if (!file) throwFaults([{ at: 'file', detail: 'Choose the file that was saved.' }]);
    try {
      const imported = /** @type {Imported} */ (await withKey(() => upload('/v1/import', /** @type {File} */ (file), {
        type: 'application/json', progress: showProgress,
        unreached: 'The server could not be reached, or the connection broke off. Nothing came in: try again.',
      })));
      this.#form.reset();
      status.replaceChildren(el('p', { class: 'notice' },
        `The fleet is here: ${counted(imported.sleds, 'sled')}, ${counted(imported.readings, 'reading')}, `,
        `${counted(imported.classes, 'class', 'classes')} and ${counted(imported.shows, 'show')}. `,
        el('a', { href: '/fleet' }, 'Look at it')));
      await Promise.all([this.load(), this.#callbacks.changed()]);
    } finally {
      byId('fleet-progress', HTMLDivElement).hidden = true;
    }
  }
}

/** @param {number} share  sent so far, 0 to 1 */
function showProgress(share) {
  const bar = byId('fleet-bar', HTMLProgressElement);
  byId('fleet-progress', HTMLDivElement).hidden = false;
  if (share < 1) bar.value = share;
  else bar.removeAttribute('value');
  byId('fleet-bar-label', HTMLLabelElement).textContent = share < 1
    ? `Sending: ${Math.floor(share * 100)} %`
    : 'All of it is sent. The server checks and stores it…';
}
