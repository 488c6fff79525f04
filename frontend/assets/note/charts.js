// @ts-check
// The charts that readings are held against: fetched ahead, so that a reading need not wait for them.

import { get } from '../lib/api.js';
import { saidAt } from './fit.js';

/** @import { Chart } from '../model/types.js' */
/** @import { Said } from './fit.js' */

export class Charts {
  /** @type {Map<string, Kept>} */
  #sleds = new Map();

  /** @param {string} sled */
  of(sled) {
    let kept = this.#sleds.get(sled);
    if (!kept) this.#sleds.set(sled, kept = new Kept(sled));
    return kept;
  }
}

/** One sled's chart, at every start position that has readings, and at others that were asked for. */
class Kept {
  #path;
  /** @type {Chart|undefined} */
  #whole;
  /** @type {Map<number, Chart>} */
  #more = new Map();
  #edition = 0;
  /** The start position that the next reading is most likely from. */
  #wanted = 0;

  /** @param {string} sled */
  constructor(sled) {
    this.#path = `/v1/sleds/${encodeURIComponent(sled)}/chart`;
  }

  /** What is known of it now. @param {number} startFt @returns {Said|undefined} */
  said(startFt) {
    return saidAt([this.#more.get(startFt), this.#whole], startFt);
  }

  /** Sees to it that a start position is known; without signal it may stay unknown. @param {number} startFt */
  async need(startFt) {
    this.#wanted = startFt;
    try {
      const mine = this.#edition;
      const whole = this.#whole ?? await this.#fetch();
      if (mine !== this.#edition) return; // what is newer sees to it
      this.#whole = whole;
      if (this.said(startFt)) return;
      const more = await this.#fetch(startFt);
      if (mine === this.#edition) this.#more.set(startFt, more);
    } catch {
      // How a reading fits is not known then, and the page says so.
    }
  }

  /**
   * Fetches again what follows from the readings.
   * @param {number} startFt
   * @returns {Promise<{said: Said|undefined, chart: Chart}>}
   * @throws {Problem}
   */
  async renew(startFt) {
    const mine = ++this.#edition;
    const whole = await this.#fetch();
    const more = saidAt([whole], startFt) ? undefined : await this.#fetch(startFt);
    const said = saidAt([more, whole], startFt);
    if (mine === this.#edition) {
      this.#whole = whole;
      this.#more = new Map(more ? [[startFt, more]] : []);
      if (!this.said(this.#wanted)) this.need(this.#wanted);
    }
    return { said, chart: whole };
  }

  /** @param {number} [startFt] @returns {Promise<Chart>} */
  #fetch(startFt) {
    return get(this.#path, { query: { start_ft: startFt } });
  }
}
