// @ts-check
// One show: sheet, booking, as run, and forms.

import { onCrewChange } from '../account/crew.js';
import { withKey } from '../account/key.js';
import { setTitle } from '../frame/frame.js';
import { address, get, getAll, onlyLatest, request } from '../lib/api.js';
import { startSaving } from '../lib/csv.js';
import { byId, putInLink, putText } from '../lib/dom.js';
import { isolated, nameOf } from '../lib/text.js';
import { showCode } from '../model/qr.js';
import { showInput, whenAndWhere } from '../model/showwords.js';
import { anyWeighed } from '../model/sleds.js';
import { BookSection } from './book.js';
import { EditSection } from './edit.js';
import { showInspection } from './inspection.js';
import { NightSection } from './night.js';
import { RunSection } from './run.js';
import { sheetTable } from './sheet.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Candidates, PullingClass, Sheet, Show } from '../model/showtypes.js' */
/** @import { Sled } from '../model/types.js' */

export class ShowPage {
  #id;
  #path;
  #units;
  /** @type {Show|undefined} */
  #show;
  #etag = '';
  /** @type {Sheet|undefined} */
  #sheet;
  /** How much in the box, where a class has a weight. @type {typeof import('./inbox.js')|undefined} */
  #inBox;
  #latest = onlyLatest();
  /** @type {Sled[]} */
  #sleds = [];
  #book;
  #run;
  #night;
  #edit;

  /** @param {string} id @param {Units} units */
  constructor(id, units) {
    this.#id = id;
    this.#path = `/v1/shows/${encodeURIComponent(id)}`;
    this.#units = units;
    const reload = () => this.load();
    this.#book = new BookSection(this.#path, units, { book: (sled) => this.#put({ sled }), reload });
    this.#run = new RunSection(this.#path, units, { reload: () => this.#reloadSheet(), reloadAll: reload });
    this.#night = new NightSection(units, this.#run.callbacks, () => {
      this.#head();
      this.#latest(this.#getSheet(), (sheet) => this.#showSheet(sheet));
    });
    this.#edit = new EditSection(this.#path, units, { put: (change) => this.#put(change), reload });
    const status = byId('sheet-status', HTMLParagraphElement);
    onCrewChange(() => { if (this.#show) showInspection(this.#show); });
    startSaving('sheet-csv', (text) => { status.textContent = text; },
      () => ({ path: `${this.#path}/sheet.csv`, query: this.#query, name: `sheet-${id}.csv` }));
  }

  /** Loads and shows everything. Typed values stay. @throws {Problem} */
  async load() {
    const [{ data, etag }, sheet, candidates, classes, sleds] = await Promise.all([
      /** @type {Promise<{data: Show, etag: string}>} */ (request('GET', this.#path)),
      this.#getSheet(),
      this.#getCandidates(),
      /** @type {Promise<PullingClass[]>} */ (getAll('/v1/classes')),
      /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds')),
    ]);
    this.#show = data;
    this.#etag = etag;
    this.#sleds = sleds;
    this.#edit.show(data, etag, classes, anyWeighed(sleds));
    this.#head();
    showCode(data, 'On the fence sheet, too. It leads to ');
    this.#showSheet(sheet);
    this.#book.show({ show: data, sleds, candidates });
    showInspection(data);
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    this.#run.setUnits(units);
    this.#book.setUnits(units);
    this.#night.setUnits(units);
    this.#edit.setUnits(units);
    if (!this.#sheet) return;
    this.#showSheet(this.#sheet);
    this.#latest(Promise.all([this.#getSheet(), this.#getCandidates()]), ([sheet, candidates]) => {
      this.#showSheet(sheet);
      this.#book.show({ show: /** @type {Show} */ (this.#show), sleds: this.#sleds, candidates });
    });
  }

  get #query() {
    return { units: this.#units, with_date: this.#night.withDate ? 'true' : undefined };
  }

  async #getSheet() {
    const sheet = /** @type {Sheet} */ (await get(`${this.#path}/sheet`, { query: this.#query }));
    this.#inBox = sheet.load_caution ? await import('./inbox.js') : undefined;
    return sheet;
  }

  /** @returns {Promise<Candidates>} */
  #getCandidates() {
    return get(`${this.#path}/candidates`, { query: { units: this.#units } });
  }

  /** Settings as run only change the sheet. */
  async #reloadSheet() {
    this.#showSheet(await this.#getSheet());
  }

  /** @param {Partial<Show>} change */
  async #put(change) {
    const body = { ...showInput(/** @type {Show} */ (this.#show)), ...change };
    await withKey(() => request('PUT', this.#path, { body, ifMatch: this.#etag }));
    await this.load();
  }

  #head() {
    const show = /** @type {Show} */ (this.#show);
    setTitle(show.name);
    byId('show-name', HTMLHeadingElement).textContent = show.name;
    byId('show-facts', HTMLParagraphElement).textContent = whenAndWhere(show);
    byId('show-sled', HTMLParagraphElement).textContent = `${nameOf(show.sled, this.#sleds)} is booked.`;
    byId('show-over', HTMLParagraphElement).hidden = !show.over;
    const notes = byId('show-notes', HTMLParagraphElement);
    notes.hidden = !show.notes;
    notes.textContent = show.notes ?? '';
    const { with_date: joins } = this.#query;
    byId('to-pullers', HTMLAnchorElement).href = address('/pullers', { show: this.#id });
    for (const page of ['sheet', 'fence']) {
      byId(`to-${page}`, HTMLAnchorElement).href = address(`/${page}`, { show: this.#id, with_date: joins });
    }
    putInLink({ with_date: joins });
  }

  /** @param {Sheet} sheet */
  #showSheet(sheet) {
    this.#sheet = sheet;
    const none = sheet.rows.length === 0;
    byId('sheet-none', HTMLParagraphElement).hidden = !none;
    byId('as-run', HTMLElement).hidden = none;
    byId('sheet-csv', HTMLButtonElement).hidden = none;
    byId('sheet-heading', HTMLHeadingElement).textContent = sheet.over
      ? `The sheet it was run with, on ${isolated(sheet.sled_name)}`
      : `Tonight on ${isolated(sheet.sled_name)}`;
    byId('sheet-body', HTMLDivElement).replaceChildren(...(none ? [] : [sheetTable(sheet, this.#units, this.#inBox)]));
    putText('sheet-caution', sheet.caution);
    putText('load-caution', this.#inBox?.weightNotes(sheet) ?? '');
    this.#run.show(sheet, this.#sleds);
    this.#night.show(sheet, this.#sleds.find(({ id }) => id === sheet.sled));
  }
}
