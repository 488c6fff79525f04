// @ts-check
// As run: a panel for each class. It opens on the class that is on.

import { get, onlyLatest } from '../../lib/api.js';
import { whenIs } from '../../lib/dates.js';
import { byId } from '../../lib/dom.js';
import { RunPanel } from './runpanel.js';
import { SheetSending } from './sending.js';

/** @import { Sheet, SheetRow } from '../../model/showtypes.js' */
/** @import { SendCallbacks } from './sending.js' */
/** @import { Part, ShowPage } from './page.js' */

/** @typedef {SendCallbacks & {reloadAll: () => Promise<void>}} RunCallbacks  reloadAll loads everything again; typed values stay */

/** @implements {Part} */
export class RunPart {
  #page;
  /** @type {RunCallbacks} */
  #callbacks;
  #place = byId('run-classes', HTMLDivElement);
  /** The panels by class. They are reused, so that typed values stay. @type {Map<string, RunPanel>} */
  #panels = new Map();
  #latest = onlyLatest();
  #isFirst = true;

  /** @param {ShowPage} page */
  constructor(page) {
    this.#page = page;
    const sending = new SheetSending(() => this.#reload());
    this.#callbacks = { ...sending.callbacks, reloadAll: () => page.load() };
  }

  async load() {
    const sheet = await this.#getSheet();
    return () => this.#show(sheet);
  }

  unitsChanged() {
    for (const panel of this.#panels.values()) panel.setUnits(this.#page.units);
    this.#reload().catch(() => {}); // no signal: its sentences stay as they are
  }

  /** Loads and shows the sheet again. @throws {Problem} */
  async #reload() {
    const sheet = this.#getSheet();
    await this.#latest(sheet, (now) => this.#show(now));
    await sheet;
  }

  /** @returns {Promise<Sheet>} */
  #getSheet() {
    return get(`${this.#page.path}/sheet`, { query: this.#page.sheetQuery });
  }

  /** @param {Sheet} sheet */
  #show(sheet) {
    byId('run-none', HTMLParagraphElement).hidden = sheet.rows.length > 0;
    byId('run-unbooked', HTMLParagraphElement).hidden = sheet.sled !== null || sheet.over;
    const listed = sheet.rows.map((row) => {
      let panel = this.#panels.get(row.class);
      if (!panel) {
        panel = new RunPanel(this.#page.path, row.class, this.#page.units, this.#callbacks);
        this.#panels.set(row.class, panel);
      }
      panel.show(row, sheet, this.#page.sleds);
      return panel.element;
    });
    for (const id of this.#panels.keys()) if (!sheet.rows.some((row) => row.class === id)) this.#panels.delete(id);
    // Moving an element loses the focus and closes the keyboard, so only a changed order does.
    const shown = [...this.#place.children];
    if (shown.length !== listed.length || listed.some((element, place) => element !== shown[place])) this.#place.replaceChildren(...listed);
    const on = sheet.over ? undefined : classOn(sheet.rows);
    for (const row of sheet.rows) this.#panels.get(row.class)?.setOn(row === on && whenIs(sheet.date, sheet.zone) <= 0);
    if (this.#isFirst && on) this.#open(on, sheet.rows);
    this.#isFirst = false;
  }

  /** @param {SheetRow} on @param {SheetRow[]} rows */
  #open(on, rows) {
    const panel = /** @type {RunPanel} */ (this.#panels.get(on.class)).element;
    panel.open = true;
    // Once the view was painted: what is scrolled in the same frame as it comes counts as moved.
    if (on !== rows[0]) requestAnimationFrame(() => setTimeout(() => panel.scrollIntoView()));
  }
}

/**
 * The class that is on: the last of which something is noted, until it is noted how it went; then the next one.
 * @param {SheetRow[]} rows
 * @returns {SheetRow|undefined}  undefined when all have run
 */
function classOn(rows) {
  const last = rows.findLastIndex(({ as_run: lines, outcome }) => lines.length > 0 || outcome);
  return last >= 0 && !rows[last].outcome ? rows[last] : rows[last + 1];
}
