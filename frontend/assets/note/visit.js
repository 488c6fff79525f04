// @ts-check
// The entries of this visit. Each is sent or queued, and can be undone: a stored reading is set aside, a queued one is removed
// from the queue. An undo can be undone.

import { mendReading, patchReading } from '../account/readings.js';
import { getAll, Problem } from '../lib/api.js';
import { isolated } from '../lib/text.js';
import { noted } from '../lib/units.js';
import { fieldNamed } from '../model/fields.js';
import { endedWords } from '../model/words.js';
import { discard, onChange, onSent, send, tryAgain, waiting } from '../offline/queue.js';
import { questionOf } from './fit.js';
import { loadVisit, saveVisit } from './saved.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Check, Reading, TopOut } from '../model/types.js' */
/** @import { Sent } from '../offline/queue.js' */
/** @import { Charts } from './charts.js' */
/** @import { Prediction } from './fit.js' */

/**
 * A reading as the API accepts it.
 * @typedef {Omit<Reading, 'id'|'sled'|'day'|'set_aside'|'created_at'> & {day?: string}} Body
 */

/**
 * sending: first send in progress. waiting: queued. refused: queued and refused by the server. sent: stored.
 * aside: set aside by an undo. dropped: undone before it was sent.
 * @typedef {'sending'|'waiting'|'refused'|'sent'|'aside'|'dropped'} State
 */

/**
 * @typedef {object} Entry
 * @property {{id: string, name: string}} sled
 * @property {Body} body
 * @property {string} label     its label in the queue
 * @property {Prediction} [prediction] of the chart before it
 * @property {State} state
 * @property {boolean} [undone] undone while sending
 * @property {boolean} [busy]   an undo is in progress
 * @property {string} [queued]  its id in the queue
 * @property {string[]} [discarded]  what it was in the queue before it became one of another gear
 * @property {string} [id]      the reading's own
 * @property {TopOut} [current] the chart's top-out after it
 * @property {Check} [check]    of the chart after it: the reading counts nowhere until somebody answers
 * @property {string} [question] of the server or the page: it is unlikely
 * @property {string[]} [faults] of a refusal or a failed undo
 */

const MISTAKE = 'entered by mistake';
const CORRECTED = 'replaced by a corrected reading'; // as the API writes it
const MAX_ENTRIES = 5;

export class Visit {
  /** Newest first. @type {Entry[]} */
  #entries = loadVisit();
  #charts;
  #units;
  #changed;
  #reconciling = Promise.resolve();

  /**
   * @param {Charts} charts
   * @param {Units} units
   * @param {(entry: Entry|undefined) => void} changed  called with the entry, or undefined for all
   */
  constructor(charts, units, changed) {
    this.#charts = charts;
    this.#units = this.#charts.units = units;
    this.#changed = changed;
    // Sent by the queue, in this tab or another. The answer has the reading's id.
    onSent((sent) => { this.#onSent(sent); });
    onChange(() => this.#reconcile());
    // A page that was closed while sending did not see the outcome.
    for (const entry of this.#entries) {
      entry.busy = false;
      if (entry.state === 'sending') entry.state = 'waiting';
    }
    this.#reconcile();
  }

  get entries() {
    return this.#entries;
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = this.#charts.units = units;
    this.#changed(undefined);
    for (const entry of this.#entries) if (entry.check) this.#reloadChart(entry);
  }

  /** @param {{id: string, name: string}} sled @param {Body} body */
  add(sled, body) {
    const label = this.#labelOf(sled, body);
    const known = this.#charts.of(sled.id).prediction(body.start_ft);
    const earlier = this.#entries.find((one) =>
      one.sled.id === sled.id && one.body.gear === body.gear && one.body.start_ft === body.start_ft &&
      one.body.ended === 'topped-out' && ['sending', 'waiting', 'sent'].includes(one.state));
    const prediction = known && { ...known, before_ft: earlier?.body.distance_ft };
    /** @type {Entry} */
    const entry = { sled: { id: sled.id, name: sled.name }, body, label, prediction, state: 'sending' };
    this.#entries.unshift(entry);
    this.#entries.splice(MAX_ENTRIES);
    this.#send(entry);
  }

  /** What the queue calls it. @param {{name: string}} sled @param {Body} body */
  #labelOf(sled, body) {
    return `${isolated(sled.name)}: ${isolated(body.gear)}, ${noted(body.distance_ft, this.#units)}, ${endedWords(body.ended)}`;
  }

  /** @param {Entry} entry */
  async #send(entry) {
    this.#put(entry, { state: 'sending', faults: undefined, question: undefined, queued: undefined });
    try {
      const outcome = await send({ path: `/v1/sleds/${encodeURIComponent(entry.sled.id)}/readings`, body: entry.body, label: entry.label });
      entry.queued = outcome.id;
      if (outcome.status === 'sent') this.#stored(entry, outcome.answer);
      else if (outcome.status === 'waiting') {
        this.#put(entry, { state: 'waiting', question: questionOf(entry.body, entry.prediction, this.#units) });
      } else this.#put(entry, refusal(outcome.problem));
    } catch (error) {
      this.#put(entry, refusal(error));
    }
    if (entry.undone) {
      entry.undone = false;
      await this.undo(entry);
    } else this.#reconcile();
  }

  /** @param {Entry} entry @param {Reading|undefined} answer */
  #stored(entry, answer) {
    this.#put(entry, { state: 'sent', id: answer?.id, faults: undefined, question: undefined });
    this.#reloadChart(entry);
  }

  /** A queued item was sent. @param {Sent} outcome */
  async #onSent(outcome) {
    const other = this.#entries.find(({ discarded }) => discarded?.includes(outcome.id));
    if (other && outcome.answer) { // it was on its way already
      try {
        await setAside(outcome.answer.id, MISTAKE);
        if (other.id) await this.#reloadChart(other);
      } catch (error) {
        this.#put(other, { faults: faultWords(error) });
      }
      return;
    }
    const entry = this.#entries.find(({ queued, state }) => queued === outcome.id && ['waiting', 'refused', 'dropped'].includes(state));
    if (!entry) return;
    const undone = entry.state === 'dropped'; // it was sent while it was removed from the queue
    this.#stored(entry, outcome.answer);
    if (undone) this.undo(entry);
  }

  /** Undoes a reading, or undoes the undo. @param {Entry} entry */
  async undo(entry) {
    if (entry.state === 'sending') {
      this.#put(entry, { undone: !entry.undone });
      return;
    }
    if (entry.state === 'dropped') {
      await this.#send(entry);
      return;
    }
    this.#put(entry, { busy: true, faults: undefined });
    try {
      if (entry.state === 'waiting' || entry.state === 'refused') {
        if (entry.queued) await discard(entry.queued);
        this.#put(entry, { busy: false, state: 'dropped' });
        return;
      }
      entry.id ??= await this.#idOf(entry);
      const isBack = entry.state === 'aside';
      await setAside(entry.id, isBack ? null : MISTAKE);
      if (entry.body.replaces) await setAside(entry.body.replaces, isBack ? CORRECTED : null);
      this.#put(entry, { busy: false, state: isBack ? 'sent' : 'aside' });
      await this.#reloadChart(entry);
    } catch (error) {
      this.#put(entry, { busy: false, faults: faultWords(error) });
    }
  }

  /** Keeps an unlikely reading. @param {Entry} entry */
  async keep(entry) {
    this.#put(entry, { state: 'waiting', question: undefined, faults: undefined });
    if (entry.queued) await tryAgain(entry.queued, true);
    this.#reconcile();
  }

  /** Answers a check: the reading counts, or is what it would be without a usual mistake. @param {Entry} entry @param {boolean} mend */
  async settle(entry, mend) {
    const { id = '', check } = entry;
    this.#put(entry, { busy: true, faults: undefined });
    try {
      if (mend && check?.mend) {
        const { gear, start_ft, distance_ft } = check.mend;
        this.#put(entry, { id: await mendReading(id, check.mend), body: { ...entry.body, gear, start_ft, distance_ft, replaces: id } });
      } else await patchReading(id, { confirmed: true });
      this.#put(entry, { busy: false, check: undefined });
      await this.#reloadChart(entry);
    } catch (error) {
      this.#put(entry, { busy: false, faults: faultWords(error) });
    }
  }

  /** Makes it a reading of another gear: the wrong one was tapped. @param {Entry} entry @param {string} gear */
  async regear(entry, gear) {
    const { id, body, queued, discarded = [] } = entry;
    this.#put(entry, { busy: true, faults: undefined });
    try {
      if (id) {
        const { start_ft, distance_ft } = body;
        const mended = await mendReading(id, { gear, start_ft, distance_ft });
        this.#put(entry, { id: mended, body: { ...body, gear, replaces: id }, busy: false });
        await this.#reloadChart(entry);
        return;
      }
      if (queued) {
        this.#put(entry, { queued: undefined, discarded: [...discarded, queued] });
        await discard(queued);
      }
      this.#put(entry, { busy: false, body: { ...body, gear }, label: this.#labelOf(entry.sled, { ...body, gear }) });
      await this.#send(entry);
    } catch (error) {
      this.#put(entry, { busy: false, faults: faultWords(error) });
    }
  }

  /** Removes a refused entry from the list and the queue; it returns to the form. @param {Entry} entry */
  async withdraw(entry) {
    this.#entries = this.#entries.filter((one) => one !== entry);
    saveVisit(this.#entries);
    this.#changed(undefined);
    if (entry.queued) await discard(entry.queued);
  }

  /** Loads the chart after a reading. A failure is ignored: the next reading loads it again. @param {Entry} entry */
  async #reloadChart(entry) {
    try {
      const { prediction, chart } = await this.#charts.of(entry.sled.id).reload(entry.body.start_ft);
      const check = chart.checks.find(({ reading, counts }) => reading !== undefined && reading === entry.id && counts === false);
      this.#put(entry, { current: prediction?.gears.find(({ label }) => label === entry.body.gear)?.at, check });
    } catch {
      this.#put(entry, { current: undefined });
    }
  }

  /** Compares waiting entries with the queue, one run at a time. */
  #reconcile() {
    this.#reconciling = this.#reconciling.then(async () => {
      const open = this.#entries.filter(({ state, busy }) => !busy && (state === 'waiting' || state === 'refused'));
      if (open.length === 0) return;
      const items = await waiting();
      for (const entry of open) {
        if (entry.state !== 'waiting' && entry.state !== 'refused') continue; // answered meanwhile
        const item = items.find(({ id, label }) => entry.queued
          ? id === entry.queued
          : label === entry.label && !this.#entries.some(({ queued }) => queued === id));
        if (item) {
          entry.queued = item.id;
          const now = item.status === 'refused' ? refusal(item.problem) : { state: item.status, faults: undefined };
          if (now.state !== entry.state) this.#put(entry, now);
        } else if (entry.state === 'waiting') {
          // Sent by an earlier page load, or discarded.
          const id = await this.#idOf(entry).catch((error) => error instanceof Problem && error.status === 0 ? undefined : '');
          if (entry.state !== 'waiting') continue;
          if (id) this.#stored(entry, /** @type {Reading} */ ({ id }));
          else if (id === '') this.#put(entry, { state: 'dropped' });
        } else if (entry.queued) this.#put(entry, { state: 'dropped', faults: undefined });
      }
    }).catch(() => {});
  }

  /** The reading's id from the API: a reading that counts, has the same values and belongs to no other entry. @param {Entry} entry */
  async #idOf(entry) {
    const all = /** @type {Reading[]} */ (await getAll(`/v1/sleds/${encodeURIComponent(entry.sled.id)}/readings`));
    const found = all.find((reading) => !reading.set_aside && !this.#entries.some(({ id }) => id === reading.id) &&
      Object.entries(entry.body).every(([name, value]) => value === undefined || /** @type {any} */ (reading)[name] === value));
    if (!found) throw new Problem(404, 'Not found', 'This reading is not found on the server. Look for it on the sled’s own page.');
    return found.id;
  }

  /** @param {Entry} entry @param {Partial<Entry>} changes */
  #put(entry, changes) {
    Object.assign(entry, changes);
    saveVisit(this.#entries);
    this.#changed(entry);
  }
}

/** @param {string} id @param {string|null} reason */
async function setAside(id, reason) {
  await patchReading(id, { set_aside: reason === null ? null : { reason } });
}

/** @param {unknown} error @returns {Partial<Entry>} */
function refusal(error) {
  const question = error instanceof Problem ? error.question : '';
  return { state: 'refused', question, faults: question ? undefined : faultWords(error) };
}

/** @param {unknown} error @returns {string[]} */
function faultWords(error) {
  if (!(error instanceof Problem)) return [String(error)];
  if (error.faults.length === 0) return [error.message];
  return error.faults.map(({ at, detail }) => [fieldNamed(at)?.label, detail].filter(Boolean).join(': '));
}
