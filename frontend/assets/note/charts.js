// @ts-check
// The charts that readings are compared with, fetched ahead.

import { get } from '../lib/api.js';
import { predictionAt } from './fit.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Chart } from '../model/types.js' */
/** @import { Prediction } from './fit.js' */

export class Charts {
  /** @type {Map<string, SledChart>} */
  #sleds = new Map();
  /** Of the sentences of the checks. @type {Units} */
  units = 'ft';

  /** @param {string} sled */
  of(sled) {
    let chart = this.#sleds.get(sled);
    if (!chart) this.#sleds.set(sled, chart = new SledChart(sled, this));
    return chart;
  }
}

/** The chart of a sled, at every start position with readings and at others on request. */
class SledChart {
  #path;
  #charts;
  /** @type {Chart|undefined} */
  #chart;
  /** @type {Map<number, Chart>} */
  #others = new Map();
  #version = 0;
  /** The most likely start position of the next reading. */
  #wanted = 0;

  /** @param {string} sled @param {Charts} charts */
  constructor(sled, charts) {
    this.#charts = charts;
    this.#path = `/v1/sleds/${encodeURIComponent(sled)}/chart`;
  }

  /** The prediction as known now. @param {number} startFt @returns {Prediction|undefined} */
  prediction(startFt) {
    return predictionAt([this.#others.get(startFt), this.#chart], startFt);
  }

  /** Loads the chart at a start position. Without signal it may stay unknown. @param {number} startFt */
  async load(startFt) {
    this.#wanted = startFt;
    try {
      const version = this.#version;
      const chart = this.#chart ?? await this.#fetch();
      if (version !== this.#version) return; // superseded by a newer load
      this.#chart = chart;
      if (this.prediction(startFt)) return;
      const other = await this.#fetch(startFt);
      if (version === this.#version) this.#others.set(startFt, other);
    } catch {
      // The page then says that the fit is not known.
    }
  }

  /**
   * Loads the chart again after a reading.
   * @param {number} startFt
   * @returns {Promise<{prediction: Prediction|undefined, chart: Chart}>}
   * @throws {Problem}
   */
  async reload(startFt) {
    const version = ++this.#version;
    const chart = await this.#fetch();
    const other = predictionAt([chart], startFt) ? undefined : await this.#fetch(startFt);
    const prediction = predictionAt([other, chart], startFt);
    if (version === this.#version) {
      this.#chart = chart;
      this.#others = new Map(other ? [[startFt, other]] : []);
      if (!this.prediction(this.#wanted)) this.load(this.#wanted);
    }
    return { prediction, chart };
  }

  /** @param {number} [startFt] @returns {Promise<Chart>} */
  #fetch(startFt) {
    return get(this.#path, { query: { start_ft: startFt, units: this.#charts.units === 'm' ? 'm' : undefined } });
  }
}
