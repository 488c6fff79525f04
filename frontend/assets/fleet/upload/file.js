// @ts-check
// A file of readings to upload. It is read in slices, so that the page stays responsive.

import { Problem } from '../../lib/api.js';
import { addDays, today } from '../../lib/dates.js';
import { checkRow } from './check.js';
import { columnName, guessUses } from './columns.js';
import { csvCell, rowsOf, separatorOf, textOf } from './text.js';
import { DateOrder } from './values.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Sled } from '../../model/types.js' */
/** @import { Sleds, Wrong } from './check.js' */
/** @import { Use } from './columns.js' */
/** @import { Row } from './text.js' */
/** @import { First } from './values.js' */

/** @typedef {{row: number, wrong: Wrong[]}} BadRow */

/**
 * The result of checking a file.
 * @typedef {object} Checked
 * @property {number} rows        not empty, without the heading
 * @property {BadRow[]} bad       the first bad rows
 * @property {number} badRows     how many there are
 * @property {{row: number, values: Map<string, string>, sled: Sled|undefined}[]} first  the first rows as understood
 * @property {NonNullable<Use>[]} columns  of what is sent
 * @property {string[]} parts     what is sent: CSV as the API takes it, in pieces
 * @property {number[]} from      row number in the file of each row that is sent
 * @property {Map<string, number>} bySled
 * @property {string} either      an ambiguous date, when the file does not resolve it
 * @property {boolean} unclear     whether the user has to resolve it
 */

// The API's limits: size of a file, and number of faults listed.
const MAX_BYTES = 64 * 1024 * 1024;
const MAX_BAD = 1000;
const SHOWN = 5;
const MISMATCHED = 'The quotes do not match: a cell with a " in it is written "like ""this"" here".';
const SLICE_MS = 12; // less than a frame

export class UploadFile {
  #text;
  #guessed;
  /** @type {string[]} */
  headings;
  /** The use of each column. @type {Use[]} */
  uses;
  /** Values for all rows, by field without a column. @type {Record<string, string>} */
  same = {};
  /** Order of day and month in ambiguous dates; undefined until chosen. @type {First|undefined} */
  first;

  /** @param {string} name @param {string} text @param {boolean} guessed @param {Units} units */
  constructor(name, text, guessed, units) {
    this.name = name;
    this.#text = text;
    this.#guessed = guessed;
    this.separator = separatorOf(text);
    const heading = rowsOf(text, this.separator).next().value;
    this.headings = (heading?.cells ?? []).map((/** @type {string} */ cell) => cell.trim());
    while (this.headings.at(-1) === '') this.headings.pop(); // spreadsheets append empty columns
    this.uses = guessUses(this.headings, units);
  }

  /**
   * @param {File} file
   * @param {Units} units  of lengths whose heading has no unit
   * @throws {Problem}
   */
  static async read(file, units) {
    if (file.size > MAX_BYTES) throw new Problem(413, 'Too large', `${file.name} is larger than 64 MiB. Send it in parts.`);
    const bytes = await file.arrayBuffer().catch(() => {
      throw new Problem(0, 'Not read', `${file.name} could not be read. Choose it again.`);
    });
    const { text, guessed } = textOf(bytes);
    if (text.includes('\0')) {
      throw new Problem(415, 'Not a CSV file', `${file.name} is no text. In the spreadsheet, choose “Save as”, then “CSV UTF-8”.`);
    }
    const made = new UploadFile(file.name, text, guessed, units);
    if (made.headings.length === 0) {
      throw new Problem(422, 'Empty', `${file.name} is empty. The first row has to name the columns; the template below has them.`);
    }
    return made;
  }

  /** Whether the encoding was guessed, because it is not UTF-8. */
  get guessed() {
    return this.#guessed;
  }

  /** The first value in a column. @param {number} place */
  example(place) {
    let seen = 0;
    for (const { row, cells } of rowsOf(this.#text, this.separator)) {
      if (row === 1) continue;
      const cell = (cells[place] ?? '').trim();
      if (cell) return cell;
      if (++seen > SHOWN) break;
    }
    return '';
  }

  /**
   * Reads the file twice: for the order of its dates, then to check each row.
   * @param {Sleds} sleds
   * @param {(share: number) => void} progress  0 to 1
   * @param {AbortSignal} signal
   * @returns {Promise<Checked>}
   */
  async check(sleds, progress, signal) {
    const order = new DateOrder();
    const dates = this.uses.findIndex((use) => use?.name === 'measured_on');
    if (dates >= 0) await this.#each((row) => { order.see(row.cells[dates] ?? ''); }, (share) => progress(share / 4), signal);
    const either = order.first === 'unclear' ? order.example : '';
    const first = (either && this.first) || (order.first === 'month' ? 'month' : 'day');
    // a day ahead, because of time zones
    const how = { sleds, uses: this.uses, separator: this.separator, first, same: this.same, latest: addDays(today(), 1) };
    const columns = this.#columns();
    /** @type {Checked} */
    const checked = {
      rows: 0, bad: [], badRows: 0, first: [], columns, parts: [], from: [], bySled: new Map(),
      either, unclear: either !== '' && !this.first,
    };
    let piece = `${columns.map(columnName).join(',')}\n`;
    await this.#each(({ row, cells, broken }) => {
      if (cells.every((cell) => cell.trim() === '')) return;
      checked.rows++;
      const { values, wrong, sled } = broken
        ? { values: new Map(), wrong: [{ name: '', detail: MISMATCHED }], sled: undefined }
        : checkRow(cells, how);
      if (checked.first.length < SHOWN) checked.first.push({ row, values, sled });
      if (wrong.length > 0) {
        checked.badRows++;
        if (checked.bad.length < MAX_BAD) checked.bad.push({ row, wrong });
        return;
      }
      checked.from.push(row);
      checked.bySled.set(sled?.id ?? '', (checked.bySled.get(sled?.id ?? '') ?? 0) + 1);
      piece += `${columns.map(({ name }) => csvCell(values.get(name) ?? '')).join(',')}\n`;
      if (piece.length > 1 << 16) {
        checked.parts.push(piece);
        piece = '';
      }
    }, (share) => progress(dates < 0 ? share : (1 + 3 * share) / 4), signal);
    checked.parts.push(piece);
    return checked;
  }

  /** The columns that are sent. @returns {NonNullable<Use>[]} */
  #columns() {
    const there = this.uses.filter((use) => use !== null);
    const added = [...new Set(['sled', ...Object.keys(this.same)])].filter((name) => !there.some((use) => use.name === name));
    return [...there, ...added.map((name) => ({ name, units: /** @type {Units} */ ('ft') }))];
  }

  /**
   * Calls back for each row below the heading, in time slices.
   * @param {(row: Row) => void} each
   * @param {(share: number) => void} progress
   * @param {AbortSignal} signal
   */
  async #each(each, progress, signal) {
    let since = performance.now();
    for (const row of rowsOf(this.#text, this.separator)) {
      if (row.row > 1) each(row);
      if (performance.now() - since < SLICE_MS) continue;
      progress(row.to / this.#text.length);
      await new Promise((resolve) => setTimeout(resolve));
      signal.throwIfAborted();
      since = performance.now();
    }
    progress(1);
  }
}
