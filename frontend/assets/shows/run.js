// @ts-check
// As run, for the operator on a phone: one panel for each class, and what waits for signal.

import { byId } from '../lib/dom.js';
import { discard, onChange, send, waiting } from '../offline/queue.js';
import { mountQueue } from '../offline/queueview.js';
import { RunPanel } from './runpanel.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sheet } from '../model/showtypes.js' */
/** @import { Sled } from '../model/types.js' */

/**
 * What the forms of a panel need of the page.
 * @typedef {object} RunCallbacks
 * @property {typeof send} send                 as the queue's, but what is refused at once stays in the form alone
 * @property {() => Promise<unknown>} reload    fetches the sheet again and shows it
 * @property {() => Promise<void>} reloadAll    fetches everything again; what is typed stays
 */

export class RunSection {
  #path;
  #units;
  /** @type {RunCallbacks} */
  #callbacks;
  #place = byId('run-classes', HTMLDivElement);
  /** What is typed in a panel outlives every reload: panels are kept by class. @type {Map<string, RunPanel>} */
  #panels = new Map();
  #left = 0;
  /** How many sends of this page are under way: their forms see to what follows. */
  #sending = 0;

  /**
   * @param {string} path  the show's own
   * @param {Units} units
   * @param {Pick<RunCallbacks, 'reload'|'reloadAll'>} callbacks
   */
  constructor(path, units, callbacks) {
    this.#path = path;
    this.#units = units;
    this.#callbacks = { ...callbacks, send: (item) => this.#send(item) };
    mountQueue(byId('run-queue', HTMLDivElement));
    onChange(() => this.#onChange());
  }

  /** @type {typeof send} */
  async #send(item) {
    this.#sending++;
    try {
      const outcome = await send(item);
      // It stays in its form with the reason beside it, so that it need not stand in the queue as well.
      if (outcome.status === 'refused') await discard(outcome.id);
      return outcome;
    } finally {
      this.#left = (await waiting()).length;
      this.#sending--;
    }
  }

  /** Shows the sheet again once something that waited has arrived. */
  async #onChange() {
    const left = (await waiting()).length;
    const fewer = left < this.#left;
    this.#left = left;
    if (!fewer || this.#sending > 0) return;
    try {
      await this.#callbacks.reload();
    } catch {
      // It has arrived; only what it led to could not be fetched. The next one fetches it again.
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
    // Moving an element would close its keyboard and lose the focus: only a changed order moves any.
    const shown = [...this.#place.children];
    if (shown.length !== listed.length || listed.some((element, place) => element !== shown[place])) this.#place.replaceChildren(...listed);
  }
}
