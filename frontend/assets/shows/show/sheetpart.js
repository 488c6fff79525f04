// @ts-check
// The sheet of a show: what is on tonight.

import { onCrewChange } from '../../account/crew.js';
import { address, get, onlyLatest } from '../../lib/api.js';
import { startSaving } from '../../lib/csv.js';
import { byId, el, putParts, putText } from '../../lib/dom.js';
import { isolated } from '../../lib/text.js';
import { sheetGuests } from '../../model/showwords.js';
import { showInspection } from './inspection.js';
import { NightSection } from './night.js';
import { SheetSending } from './sending.js';
import { saidOnce, sheetTable } from './sheettable.js';

/** @import { Sheet } from '../../model/showtypes.js' */
/** @import { Part, ShowPage } from './page.js' */

/** @implements {Part} */
export class SheetPart {
  #page;
  /** @type {Sheet|undefined} */
  #sheet;
  /** How much in the box, where a class has a weight. @type {import('./sheettable.js').InBox} */
  #inBox;
  #latest = onlyLatest();
  #night;

  /** @param {ShowPage} page */
  constructor(page) {
    this.#page = page;
    const sending = new SheetSending(() => this.#reload());
    this.#night = new NightSection(page.units, sending.callbacks, (withDate) => {
      page.withDate = withDate;
      page.showHead();
      this.#reload().catch(() => {}); // no signal: the sheet stays as it is
    });
    onCrewChange(() => { if (this.#sheet) showInspection(page.show); });
    startSaving('sheet-csv', (text) => { byId('sheet-status', HTMLParagraphElement).textContent = text; },
      () => ({ path: `${page.path}/sheet.csv`, query: page.sheetQuery, name: `sheet-${page.id}.csv` }));
  }

  async load() {
    const sheet = await this.#getSheet();
    return () => {
      this.#show(sheet);
      showInspection(this.#page.show);
    };
  }

  unitsChanged() {
    this.#night.setUnits(this.#page.units);
    if (!this.#sheet) return;
    this.#show(this.#sheet);
    this.#reload().catch(() => {}); // no signal: its sentences stay as they are
  }

  /** Loads and shows the sheet again. @throws {Problem} */
  async #reload() {
    const sheet = this.#getSheet();
    await this.#latest(sheet, (now) => this.#show(now));
    await sheet;
  }

  async #getSheet() {
    const sheet = /** @type {Sheet} */ (await get(`${this.#page.path}/sheet`, { query: this.#page.sheetQuery }));
    this.#inBox = sheet.load_caution ? await import('./inbox.js') : undefined;
    return sheet;
  }

  /** @param {Sheet} sheet */
  #show(sheet) {
    this.#sheet = sheet;
    const { id, units, withDate } = this.#page;
    const none = sheet.rows.length === 0;
    byId('sheet-none', HTMLParagraphElement).hidden = !none;
    byId('sheet-unbooked', HTMLElement).hidden = sheet.sled !== null || sheet.over;
    for (const part of ['sheet-doors', 'sheet-end']) byId(part, HTMLElement).hidden = none || sheet.sled === null;
    byId('sheet-heading', HTMLHeadingElement).textContent = headingOf(sheet);
    putText('sheet-replaces', sheet.replaces ? `In place of ${isolated(sheet.replaces)}: what was printed for it is out of date.` : '');
    byId('sheet-body', HTMLDivElement).replaceChildren(...(none ? [] : [sheetTable(sheet, units, this.#inBox)]));
    putParts('sheet-once', ...[...sheetGuests(sheet), ...saidOnce(sheet)].map((text) => el('p', {}, text)));
    putText('sheet-caution', sheet.caution);
    putText('load-caution', this.#inBox?.weightNotes(sheet) ?? '');
    byId('to-pullers', HTMLAnchorElement).href = address('/pullers', { show: id });
    for (const page of ['sheet', 'fence']) {
      byId(`to-${page}`, HTMLAnchorElement).href = address(`/${page}`, { show: id, with_date: withDate ? 'true' : undefined });
    }
    this.#night.show(sheet, withDate, this.#page.sleds.find(({ id: of }) => of === sheet.sled));
  }
}

/** @param {Sheet} sheet */
function headingOf(sheet) {
  if (sheet.sled === null) return 'The classes';
  return sheet.over ? `The sheet it was run with, on ${isolated(sheet.sled_name)}` : `Tonight on ${isolated(sheet.sled_name)}`;
}
