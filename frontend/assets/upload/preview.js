// @ts-check
// Preview of an upload as the server understands it: the use of each column, the first rows, the rows with faults.

import { address } from '../lib/api.js';
import { dateWords } from '../lib/dates.js';
import { el, row, table } from '../lib/dom.js';
import { counted, nameOf } from '../lib/text.js';
import { endedWords } from '../model/words.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Field } from '../model/fields.js' */
/** @import { Ended, Sled } from '../model/types.js' */
/** @import { Kind } from './upload.js' */

/**
 * How the server understands an upload.
 * @typedef {object} Understood
 * @property {'utf-8'|'utf-16'|'windows-1252'} encoding
 * @property {string} [unclear_date]  one that can be read in two ways
 * @property {{heading: string, name: string|null, example: string}[]} columns  name: as the API has it, metric where it ends in _m or _kg
 * @property {number} rows
 * @property {number} rows_with_faults
 * @property {{sled: string, rows: number}[]} sleds
 * @property {{row: number, values: string[]}[]} preview
 */

/**
 * What a check of the file came to; `asks` are the codes of what is asked.
 * @typedef {{understood: Understood, accepted: number, faults: Fault[], total: number, asks: string[]}} Checked
 */

const AT_A_TIME = 100;
const METRIC = { ft: 'm', lb: 'kg' };

/** The name of a field's column in meters or kilograms; its own name where it is neither a length nor a weight. @param {Field} field */
export function inMetric({ name, kind }) {
  const unit = kind === 'length' ? 'ft' : kind === 'weight' ? 'lb' : '';
  return unit ? name.replace(/_[a-z]+$/, `_${METRIC[unit]}`) : name;
}

/** The field of a column's name in the API. @param {Kind} kind @param {string} use */
function fieldOf({ fields }, use) {
  return fields.find((field) => field.name === use || inMetric(field) === use);
}

/**
 * A list for each column to choose its use. A field has one column: another column with it is left out from then on.
 * @param {Kind} kind
 * @param {Understood} understood
 * @param {(columns: string[]) => void} changed  with the name of each column, empty where it is left out
 */
export function columnChoices(kind, { columns }, changed) {
  const uses = kind.fields.flatMap((field) => [...new Set([field.name, inMetric(field)])]);
  const items = columns.map(({ heading, name, example }, place) => {
    const id = `import-column-${place}`;
    const list = el('select', { id, onchange: () => changed(columns.map((other, at) => {
      if (at === place) return list.value;
      return other.name && list.value && fieldOf(kind, other.name) === fieldOf(kind, list.value) ? '' : other.name ?? '';
    })) },
    el('option', { value: '' }, 'left out'),
    ...uses.map((use) => el('option', { value: use, selected: use === name }, useLabel(kind, use))));
    return el('div', { class: 'field' },
      el('label', { for: id }, heading || `Column ${place + 1}`, example && el('span', { class: 'example' }, ` ${short(example)}`)), list);
  });
  return el('div', { class: 'grid' }, ...items);
}

/** @param {Kind} kind @param {string} use */
function useLabel(kind, use) {
  const field = fieldOf(kind, use);
  const unit = ['length', 'weight', 'number'].includes(field?.kind ?? '') ? unitOf(use) : '';
  return unit ? `${field?.label} (${unit})` : field?.label ?? use;
}

/** @param {string} use */
function unitOf(use) {
  return use.replace(/^.*_/, '');
}

/** @param {string} text */
function short(text) {
  const most = 24;
  return text.length > most ? `${text.slice(0, most)} …` : text;
}

/** The first rows as understood. @param {Kind} kind @param {Understood} understood @param {Sled[]} sleds */
export function firstRows(kind, { columns, preview }, sleds) {
  const used = columns.map(({ name }, place) => ({ name: name ?? '', place })).filter(({ name }) => name);
  const lines = preview.map(({ row: number, values }) =>
    row(String(number), used.map(({ name, place }) => cellWords(kind, name, values[place], sleds))));
  const title = 'The first rows, as they are understood';
  const heads = used.map(({ name }) => fieldOf(kind, name)?.label ?? name);
  return el('div', {}, el('h4', {}, title), table(title, ['Row', ...heads], lines));
}

/** @param {Kind} kind @param {string} use @param {string} value @param {Sled[]} sleds */
function cellWords(kind, use, value, sleds) {
  if (value === '') return '';
  switch (fieldOf(kind, use)?.kind) {
    case 'sled': return nameOf(value, sleds);
    case 'length': case 'weight': return `${Number(Number(value).toFixed(2))}\u00a0${unitOf(use)}`;
    case 'date': return dateWords(value);
    case 'ended': return endedWords(/** @type {Ended} */ (value));
    default: return short(value);
  }
}

/** The faults by row, a hundred at a time. @param {Kind} kind @param {{faults: Fault[], total: number}} found */
export function faultRows(kind, { faults, total }) {
  const asked = faults.some(({ code }) => code);
  const body = (/** @type {Fault[]} */ some) => some.map(({ row: number, at, detail }) =>
    row(number ? String(number) : 'the file', [fieldOf(kind, at)?.label ?? (at || 'the row'), detail]));
  const [title, what] = asked ? ['What is asked about', 'Question'] : ['What does not fit', 'What is wrong'];
  const shown = table(title, ['Row', 'Column', what], body(faults.slice(0, AT_A_TIME)), 'text');
  const place = el('div', { class: 'bad' }, shown);
  let next = AT_A_TIME;
  const more = el('button', { type: 'button', onclick: () => {
    shown.querySelector('tbody')?.append(...body(faults.slice(next, next + AT_A_TIME)));
    next += AT_A_TIME;
    more.hidden = next >= faults.length;
  } }, 'Show more of them');
  if (faults.length > AT_A_TIME) place.append(more);
  if (total > faults.length) place.append(el('p', { class: 'hint' }, `The first ${faults.length} of ${total} are listed.`));
  return place;
}

/** "Bluestem 80, Fescue 40", each with a link to the sled. @param {Kind} kind @param {Understood} understood @param {Sled[]} all */
export function sledLinks({ one, page }, { sleds }, all) {
  return el('ul', { class: 'upload-sleds' }, ...sleds.map(({ sled, rows }) =>
    el('li', {}, el('a', { href: address(page, { sled }) }, nameOf(sled, all)), ` ${counted(rows, one)}`)));
}
