// @ts-check
// The whole fleet as a file: saving it, and bringing one into an empty installation.

import { withKey } from '../account/key.js';
import { get, getAll, Problem, problemFrom } from '../lib/api.js';
import { byId, el } from '../lib/dom.js';
import { refuse, submitting } from '../lib/forms.js';
import { counted } from '../lib/text.js';

/** @typedef {{sleds: number, readings: number, classes: number, shows: number}} Imported */

export class Copies {
  #tell;
  #form = byId('fleet-form', HTMLFormElement);
  #file = byId('fleet-file', HTMLInputElement);

  /** @param {{changed: () => Promise<void>}} tell  a fleet came in */
  constructor(tell) {
    this.#tell = tell;
    this.#form.addEventListener('submit', (event) => {
      event.preventDefault();
      submitting(this.#form, () => this.#bringIn());
    });
  }

  /** A fleet comes only where there is none: says so, or offers it. */
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
      full.replaceChildren(`A fleet comes only into an empty installation, and this one holds ${has}. To bring one in, start the program with another database, `,
        el('code', {}, '--db other.db'), ', and do it there.');
    } catch (error) {
      full.hidden = false;
      full.textContent = error instanceof Error ? error.message : String(error);
    }
  }

  async #bringIn() {
    const told = byId('fleet-told', HTMLDivElement);
    told.replaceChildren();
    const file = this.#file.files?.[0];
    if (!file) refuse([{ at: 'file', detail: 'Choose the file that was saved.' }]);
    try {
      const came = /** @type {Imported} */ (await withKey(() => upload('/v1/import', /** @type {File} */ (file), showProgress)));
      this.#form.reset();
      told.replaceChildren(el('p', { class: 'notice' },
        `The fleet is here: ${counted(came.sleds, 'sled')}, ${counted(came.readings, 'reading')}, ${counted(came.classes, 'class', 'classes')} and ${counted(came.shows, 'show')}. `,
        el('a', { href: '/fleet' }, 'Look at it')));
      await Promise.all([this.load(), this.#tell.changed()]);
    } finally {
      byId('fleet-progress', HTMLDivElement).hidden = true;
    }
  }
}

/** @param {number|null} part  from 0 to 1 of what is sent; null while the server works on it */
function showProgress(part) {
  const bar = byId('fleet-bar', HTMLProgressElement);
  byId('fleet-progress', HTMLDivElement).hidden = false;
  if (part === null) bar.removeAttribute('value');
  else bar.value = part;
  byId('fleet-bar-label', HTMLLabelElement).textContent = part === null ? 'All of it is sent. The server checks and stores it…' : `Sending: ${Math.floor(part * 100)} %`;
}

/**
 * Sends a file. Unlike fetch, this says how far it is.
 * @param {string} path
 * @param {File} file
 * @param {(part: number|null) => void} tell
 * @returns {Promise<unknown>}
 * @throws {Problem}
 */
function upload(path, file, tell) {
  return new Promise((resolve, reject) => {
    const sending = new XMLHttpRequest();
    sending.open('POST', path);
    sending.setRequestHeader('Content-Type', 'application/json');
    sending.setRequestHeader('Accept', 'application/json');
    sending.upload.addEventListener('progress', ({ loaded, total }) => tell(loaded < total ? loaded / total : null));
    sending.addEventListener('error', () => reject(new Problem(0, 'No connection', 'The server could not be reached, or the connection broke off. Nothing came in: try again.')));
    sending.addEventListener('load', async () => {
      if (sending.status === 200) resolve(JSON.parse(sending.responseText));
      else reject(await problemFrom(new Response(sending.responseText, { status: sending.status })));
    });
    tell(0);
    sending.send(file);
  });
}
