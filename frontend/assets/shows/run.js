// @ts-check
// As run: a panel for each class, and the queue.

import { byId } from '../lib/dom.js';
import { discard, onChange, send, waiting } from '../offline/queue.js';
import { mountQueue } from '../offline/queueview.js';
import { RunPanel } from './runpanel.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sheet } from '../model/showtypes.js' */
/** @import { Sled } from '../model/types.js' */

/**
 * Callbacks of the panels.
 * @typedef {object} RunCallbacks
 * @property {typeof send} send                 as in queue.js, but a refused item stays in the form only
 * @property {() => Promise<unknown>} reload    loads and shows the sheet again
 * @property {() => Promise<void>} reloadAll    loads everything again; typed values stay
 */

export class RunSection {
  #path;
  #units;
  /** @type {RunCallbacks} */
  #callbacks;
  #place = byId('run-classes', HTMLDivElement);
  /** The panels by class. They are reused, so that typed values stay. @type {Map<string, RunPanel>} */
  #panels = new Map();
  #left = 0;
  /** Sends of this page in progress. Their forms handle the outcome. */
  #sending = 0;

  /** @param {string} path of the show @param {Units} units @param {Pick<RunCallbacks, 'reload'|'reloadAll'>} callbacks */
  constructor(path, units, callbacks) {
    this.#path = path;
    this.#units = units;
    this.#callbacks = { ...callbacks, send: (item) => this.#send(item) };
    mountQueue(byId('run-queue', HTMLDivElement));
    onChange(() => this.#onChange());
  }

  get callbacks() {
    return this.#callbacks;
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
      await this.#callbacks.reload();
    } catch {
      // The item was sent; the next one reloads the sheet.
    }
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    for (const panel of this.#panels.values()) panel.setUnits(units);
  }

  /** @param {Sheet} sheet @param {Sled[]} sleds */
  show(sheet, sleds) {
    const listed = sheet.rows.map((row) => {
      let panel = this.#panels.get(row.class);
      if (!panel) {
        panel = new RunPanel(this.#path, row.class, this.#units, this.#callbacks);
        this.#panels.set(row.class, panel);
      }
      panel.show(row, sheet, sleds);
      return panel.element;
    });
    for (const id of this.#panels.keys()) if (!sheet.rows.some((row) => row.class === id)) this.#panels.delete(id);
    // Moving an element loses the focus and closes the keyboard, so only a changed order does.
    const shown = [...this.#place.children];
    if (shown.length !== listed.length || listed.some((element, place) => element !== shown[place])) this.#place.replaceChildren(...listed);
  }
}
