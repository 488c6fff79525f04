// @ts-check
// One sled on the Fleet page: its facts, chart, readings and forms.

import { onCrewChange } from '../../account/crew.js';
import { setTitle } from '../../frame/frame.js';
import { address, get, onlyLatest, request } from '../../lib/api.js';
import { startSaving } from '../../lib/csv.js';
import { byId, el, putText } from '../../lib/dom.js';
import { counted, isolated } from '../../lib/text.js';
import { noted } from '../../lib/units.js';
import { markGuest } from '../../model/guest.js';
import { onChange, waiting } from '../../offline/queue.js';
import { mountQueue } from '../../offline/queueview.js';
import { showChart } from './chart.js';
import { CorrectForm } from './correct.js';
import { startGiving } from './give.js';
import { showInspection } from './inspection.js';
import { showOwn } from './own.js';
import { ReadingList } from './readings.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Advice, Chart, Sled } from '../../model/types.js' */
/** @import { KnownChart } from './known.js' */

const MAX_ADVICE = 5;

export class SledPage {
  #id;
  #units;
  #path;
  /** @type {Sled|undefined} */
  #sled;
  /** @type {{chart: Chart, advice: Advice[]}|undefined} */
  #known;
  #latest = onlyLatest();
  #list;
  #correct;
  /** @type {Promise<KnownChart>|undefined} */
  #grid;

  /** @param {string} id @param {Units} units */
  constructor(id, units) {
    this.#id = id;
    this.#units = units;
    this.#path = `/v1/sleds/${encodeURIComponent(id)}`;
    const changed = () => this.#reload();
    this.#list = new ReadingList(this.#path, units, {
      changed,
      correct: (reading) => location.assign(address('/note', { sled: id, correct: reading.id })),
    });
    this.#correct = new CorrectForm(this.#path, units, (sled, etag) => this.#corrected(sled, etag));
    mountQueue(byId('enter-queue', HTMLDivElement));
    this.#watchQueue();
    startGiving(id);
    byId('known', HTMLDetailsElement).addEventListener('toggle', () => this.#openGrid());
    onCrewChange(() => showInspection(id));
    const status = byId('readings-csv-status', HTMLSpanElement);
    // All readings that count, as an upload accepts them.
    startSaving('readings-csv', (text) => { status.textContent = text; },
      () => ({ path: `${this.#path}/readings.csv`, name: `readings-${id}.csv` }));
  }

  /** Loads everything. @throws {Problem} when the sled cannot be read */
  async load() {
    const [{ data, etag }, known] = await Promise.all([
      /** @type {Promise<{data: Sled, etag: string}>} */ (request('GET', this.#path)), this.#getKnown(), this.#list.load(),
      showInspection(this.#id),
    ]);
    this.#known = known;
    this.#show(data, etag);
    const asked = document.getElementById(location.hash.slice(1));
    if (asked instanceof HTMLDetailsElement) asked.open = true;
    if (data.readings === 0 && !data.guest) byId('known', HTMLDetailsElement).open = true; // one of two ways to begin
  }

  /** Loads the grid for a known chart when it is opened. */
  #openGrid() {
    const sled = this.#sled;
    if (!sled || !byId('known', HTMLDetailsElement).open) return;
    putText('known-problem', '');
    this.#grid ??= import('./known.js').then(({ KnownChart }) => new KnownChart(sled, () => this.#reload()));
    this.#grid.catch(() => {
      this.#grid = undefined;
      putText('known-problem', 'The form could not be loaded. Where there is signal, open this again or load the page again.');
    });
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    this.#list.setUnits(units);
    this.#correct.setUnits(units);
    this.#grid?.then((grid) => grid.setUnits(units));
    this.#showFacts();
    this.#showChart();
    this.#reload().catch(() => {}); // no signal: their sentences stay as they are
  }

  /** What the readings say: the chart, and what to measure next. */
  async #getKnown() {
    const [chart, { items }] = await Promise.all([
      /** @type {Promise<Chart>} */ (get(`${this.#path}/chart`, { query: { units: this.#units } })),
      /** @type {Promise<{items: Advice[]}>} */ (get(`${this.#path}/advice`, { query: { most: MAX_ADVICE, units: this.#units } })),
    ]);
    return { chart, advice: items };
  }

  /** Loads everything that depends on the readings again. @throws {Problem} */
  async #reload() {
    const all = Promise.all([
      this.#getKnown(), /** @type {Promise<{data: Sled, etag: string}>} */ (request('GET', this.#path)), this.#list.load(),
    ]);
    await this.#latest(all, ([known, { data, etag }]) => {
      this.#known = known;
      this.#sled = data;
      this.#correct.readingsChanged(data, etag);
      this.#showFacts();
      this.#showChart();
    });
    await all;
  }

  /** Reloads when a queued reading has been sent. */
  async #watchQueue() {
    let waited = (await waiting()).length;
    onChange(async () => {
      const left = (await waiting()).length;
      if (left < waited) this.#reload().catch(() => {}); // no signal: the page stays as it is
      waited = left;
    });
  }

  /** @param {Sled} sled @param {string} etag */
  async #corrected(sled, etag) {
    this.#show(sled, etag);
    await this.#reload();
  }

  /** @param {Sled} sled @param {string} etag */
  #show(sled, etag) {
    this.#sled = sled;
    this.#correct.show(sled, etag);
    this.#showFacts();
    this.#showChart();
  }

  #showFacts() {
    const sled = this.#sled;
    if (!sled) return;
    this.#grid?.then((grid) => grid.setSled(sled));
    setTitle(sled.name);
    markGuest(sled);
    byId('enter-link', HTMLAnchorElement).href = address('/note', { sled: sled.id });
    byId('enter-link', HTMLAnchorElement).textContent = `Note readings of ${isolated(sled.name)}`;
    for (const part of document.querySelectorAll('#enter, .jumps a[href="#enter"]')) part.toggleAttribute('hidden', sled.retired);
    byId('lever-link', HTMLAnchorElement).href = address('/lever', { sled: sled.id });
    for (const page of ['parts', 'weights']) {
      byId(`${page}-link`, HTMLAnchorElement).href = `/${page}?sled=${encodeURIComponent(sled.id)}`;
    }
    byId('history-link', HTMLAnchorElement).href = `/admin?sled=${encodeURIComponent(sled.id)}#history`;
    byId('sled-name', HTMLHeadingElement).textContent = sled.retired ? `${isolated(sled.name)} (retired)` : sled.name;
    const facts = [
      sled.invented && 'Invented for the demo, never measured',
      !sled.guest && sled.owner,
      sled.travel_ft === undefined ? 'travel not taped' : `travel ${noted(sled.travel_ft, this.#units)}`,
      sled.take_up_ft > 0 && `take-up ${noted(sled.take_up_ft, this.#units)} (slack before the box moves)`,
      `a rail mark every ${noted(sled.rail_mark_ft, this.#units)}`,
      counted(sled.readings, 'reading'),
    ].filter(Boolean);
    byId('sled-facts', HTMLParagraphElement).replaceChildren(`${facts.join('\u00a0· ')} · short name `, el('code', {}, this.#id));
    const notes = byId('sled-notes', HTMLParagraphElement);
    notes.hidden = !sled.notes;
    notes.textContent = sled.notes ?? '';
  }

  #showChart() {
    if (!this.#sled || !this.#known) return;
    const { chart, advice } = this.#known;
    showChart(this.#sled, chart, `${this.#path}/chart.svg`, this.#units, this.#list);
    showOwn(this.#sled, chart, this.#units);
    byId('advice', HTMLElement).hidden = advice.length === 0;
    byId('advice-list', HTMLOListElement).replaceChildren(...advice.map(({ detail }) => el('li', {}, detail)));
  }
}
