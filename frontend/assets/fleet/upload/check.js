// @ts-check
// Checks one row of an upload and turns it into what the API accepts. The API checks the rest. Pure functions.

import { fieldOf } from './columns.js';
import { readDate, readEnded, readLength, readNumber } from './values.js';

/** @import { Sled } from '../../model/types.js' */
/** @import { Use } from './columns.js' */
/** @import { First, Read } from './values.js' */

/** @typedef {{name: string, detail: string}} Wrong  the field, and what is wrong with it */

/**
 * How to read the file. Fields without a column are the same in every row.
 * @typedef {object} Settings
 * @property {Sleds} sleds
 * @property {Use[]} uses         of each column
 * @property {string} separator
 * @property {First} first
 * @property {Record<string, string>} same  what has no column, by field
 * @property {string} latest      the latest valid date, ISO 8601
 */

/** The sleds of the fleet, found by name or id. */
export class Sleds {
  /** @type {Map<string, Sled[]>} */
  #called = new Map();
  /** Cache by cell: a file repeats the same few names. @type {Map<string, Sled|string>} */
  #found = new Map();

  /** @param {Sled[]} sleds */
  constructor(sleds) {
    this.all = sleds;
    for (const sled of sleds) {
      for (const name of new Set([plain(sled.id), plain(sled.name)])) this.#called.set(name, [...this.#called.get(name) ?? [], sled]);
    }
  }

  /** @param {string} cell @returns {Sled|string}  the sled, or what is wrong */
  find(cell) {
    const before = this.#found.get(cell) ?? this.#look(cell);
    this.#found.set(cell, before);
    return before;
  }

  /** @param {string} cell @returns {Sled|string} */
  #look(cell) {
    const found = this.#called.get(plain(cell)) ?? [];
    if (found.length === 1) return found[0];
    if (found.length > 1) return `“${cell}” can be ${found.map(({ id }) => id).join(' or ')}. Write which.`;
    const most = 12;
    const names = this.all.slice(0, most).map(({ name }) => name).join(', ');
    return `There is no sled “${cell}”; there are ${names}${this.all.length > most ? ' and others' : ''}.`;
  }
}

/** A name in lower case, letters and digits only. @param {string} name */
function plain(name) {
  return unguarded(name).toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '');
}

/** Removes the apostrophe that protects text from being a formula. The API does the same. @param {string} cell */
function unguarded(cell) {
  return cell.trim().replace(/^'(?=[=+\-@])/, '');
}

/**
 * @param {string[]} cells
 * @param {Settings} settings
 * @returns {{values: Map<string, string>, wrong: Wrong[], sled: Sled|undefined}}  values by field; empty cells have none
 */
export function checkRow(cells, settings) {
  /** @type {Map<string, string>} */
  const values = new Map();
  /** @type {Wrong[]} */
  const wrong = [];
  const over = cells.slice(settings.uses.length).filter((cell) => cell.trim() !== '');
  if (over.length > 0) {
    const comma = settings.separator === ',' ? ' A decimal comma, perhaps: put such a cell in quotes, or use a point.' : '';
    wrong.push({ name: '', detail: `There are ${cells.length} cells under ${settings.uses.length} headings.${comma}` });
    return { values, wrong, sled: undefined };
  }
  const sled = sledOf(cells, settings, wrong);
  if (sled) values.set('sled', sled.id);
  settings.uses.forEach((use, place) => {
    const cell = (cells[place] ?? '').trim();
    if (!use || use.name === 'sled' || cell === '') return;
    const read = readCell(cell, use, settings, sled);
    if (read.wrong !== undefined) wrong.push({ name: use.name, detail: read.wrong });
    else values.set(use.name, read.value);
  });
  for (const [name, value] of Object.entries(settings.same)) if (!values.has(name) && value) values.set(name, value);
  for (const name of ['gear', 'distance_ft', 'measured_on']) {
    if (values.has(name) || wrong.some((one) => one.name === name)) continue;
    wrong.push({ name, detail: `The ${fieldOf(name)?.label.toLowerCase()} is missing.` });
  }
  checkTogether(values, settings, wrong);
  return { values, wrong, sled };
}

/** @param {string[]} cells @param {Settings} settings @param {Wrong[]} wrong @returns {Sled|undefined} */
function sledOf(cells, settings, wrong) {
  const place = settings.uses.findIndex((use) => use?.name === 'sled');
  const cell = place < 0 ? settings.same.sled ?? '' : (cells[place] ?? '').trim();
  const found = cell === '' ? 'The sled is missing.' : settings.sleds.find(cell);
  if (typeof found !== 'string') return found;
  wrong.push({ name: 'sled', detail: found });
  return undefined;
}

/** @param {string} cell @param {NonNullable<Use>} use @param {Settings} settings @param {Sled|undefined} sled @returns {Read} */
function readCell(cell, use, settings, sled) {
  switch (fieldOf(use.name)?.kind) {
    case 'gear': return sled ? gearOf(cell, sled) : { value: cell };
    case 'length': return readLength(cell, use.units, settings.separator);
    case 'number': return readNumber(cell, settings.separator);
    case 'date': return readDate(cell, settings.first);
    case 'ended': return readEnded(cell);
    default: return { value: cell };
  }
}

/** @param {string} cell @param {Sled} sled @returns {Read} */
function gearOf(cell, sled) {
  const wanted = unguarded(cell);
  const labels = sled.gears.map(({ label }) => label);
  if (labels.includes(wanted)) return { value: wanted };
  const same = (/** @type {string} */ text) => text.toLowerCase().replace(/\s+/g, ' ').trim();
  const loosely = [same(wanted), same(wanted).replace(/^gear\s+/, '')];
  const found = labels.filter((label) => loosely.includes(same(label)));
  return found.length === 1 ? { value: found[0] } : { wrong: `${sled.name} has no gear “${wanted}”; it has ${labels.join(', ')}.` };
}

/** Checks that involve two fields. @param {Map<string, string>} values @param {Settings} settings @param {Wrong[]} wrong */
function checkTogether(values, settings, wrong) {
  const distance = values.get('distance_ft');
  if (Number(distance) <= 0) wrong.push({ name: 'distance_ft', detail: 'The distance has to be more than nothing.' });
  const date = values.get('measured_on');
  if (date !== undefined && date > settings.latest) wrong.push({ name: 'measured_on', detail: `${date} lies in the future.` });
  const short = values.get('ended') === 'stopped-short';
  if (short && !values.has('end_ft') && !wrong.some(({ name }) => name === 'end_ft')) {
    wrong.push({ name: 'end_ft', detail: 'A pull that stopped short needs where the box stood.' });
  }
  if (!short && values.has('end_ft') && !wrong.some(({ name }) => name === 'ended')) {
    wrong.push({ name: 'end_ft', detail: 'Where the box stopped goes with pulls that stopped short only.' });
  }
}
