// @ts-check
// What the page of a show sends, with or without signal.

import { byId } from '../../lib/dom.js';
import { discard, onChange, send, waiting } from '../../offline/queue.js';
import { mountQueue } from '../../offline/queueview.js';

/**
 * Callbacks of the forms.
 * @typedef {object} SendCallbacks
 * @property {typeof send} send                 as in queue.js, but a refused item stays in the form only
 * @property {() => Promise<unknown>} reload    loads and shows the sheet again
 */

export class SheetSending {
  #reload;
  #left = 0;
  /** Sends of this page in progress. Their forms handle the outcome. */
  #sending = 0;

  /** Shows the queue. @param {() => Promise<unknown>} reload  loads and shows the sheet again */
  constructor(reload) {
    this.#reload = reload;
    mountQueue(byId('run-queue', HTMLDivElement));
    onChange(() => this.#onChange());
  }

  /** @returns {SendCallbacks} */
  get callbacks() {
    return { send: (item) => this.#send(item), reload: this.#reload };
  }

  /** @type {typeof send} */
  async #send(item) {
    this.#sending++;
    try {
      const outcome = await send(item);
      // The form shows the reason, so the queue need not.
      if (outcome.status === 'refused') await discard(outcome.id);
      return outcome;
    } finally {
      this.#left = (await waiting()).length;
      this.#sending--;
    }
  }

  /** Reloads the sheet when a queued item has been sent. */
  async #onChange() {
    const left = (await waiting()).length;
    const fewer = left < this.#left;
    this.#left = left;
    if (!fewer || this.#sending > 0) return;
    try {
      await this.#reload();
    } catch {
      // The item was sent; the next one reloads the sheet.
    }
  }
}
