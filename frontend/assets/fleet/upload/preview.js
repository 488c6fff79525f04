// @ts-check
// Preview of an upload: the use of each column, the first rows as understood, and the bad rows.

import { dateWords } from '../../lib/dates.js';
import { el, row, table } from '../../lib/dom.js';
import { counted, nameOf } from '../../lib/text.js';
import { endedWords } from '../../model/words.js';
import { allUses, fieldOf, useLabel } from './columns.js';

/** @import { Ended, Sled } from '../../model/types.js' */
/** @import { Use } from './columns.js' */
/** @import { BadRow, Checked, UploadFile } from './file.js' */

const AT_A_TIME = 100;

/**
 * A list for each column to choose its use.
 * @param {UploadFile} file
 * @param {() => void} changed
 */
export function columnChoices(file, changed) {
  const uses = allUses();
  const items = file.headings.map((heading, place) => {
    const id = `import-column-${place}`;
    const list = el('select', { id, onchange: () => {
      const chosen = uses[Number(list.value)] ?? null;
      // A field has one column: another column with it is ignored from now on.
      if (chosen) file.uses = file.uses.map((use) => (use?.name === chosen.name ? null : use));
      file.uses[place] = chosen;
      changed();
    } }, el('option', { value: '' }, 'left out'),
    ...uses.map((use, number) => el('option', { value: number, selected: isSame(use, file.uses[place]) }, useLabel(use))));
    const example = file.example(place);
    return el('div', { class: 'field' },
      el('label', { for: id }, heading || `Column ${place + 1}`, example && el('span', { class: 'example' }, ` ${short(example)}`)), list);
  });
  return el('div', { class: 'grid' }, ...items);
}

/** @param {NonNullable<Use>} use @param {Use|undefined} other */
function isSame(use, other) {
  return other?.name === use.name && (fieldOf(use.name)?.kind !== 'length' || other.units === use.units);
}

/** @param {string} text */
function short(text) {
  const most = 24;
  return text.length > most ? `${text.slice(0, most)} …` : text;
}

/**
 * The first rows as understood.
 * @param {Checked} checked
 */
export function firstRows(checked) {
  const lines = checked.first.map(({ row: number, values, sled }) =>
    row(String(number), checked.columns.map((use) => cellWords(use, values.get(use.name), sled))));
  const title = 'The first rows, as they are understood';
  const heads = checked.columns.map((use) => fieldOf(use.name)?.label ?? use.name);
  return el('div', {}, el('h4', {}, title), table(title, ['Row', ...heads], lines));
}

/** @param {NonNullable<Use>} use @param {string|undefined} value @param {Sled|undefined} sled */
function cellWords(use, value, sled) {
  if (value === undefined) return use.name === 'ended' ? 'not said: topped out' : '';
  switch (fieldOf(use.name)?.kind) {
    case 'sled': return sled?.name ?? value;
    case 'length': return `${Number(Number(value).toFixed(2))}\u00a0${use.units}`;
    case 'date': return dateWords(value);
    case 'ended': return endedWords(/** @type {Ended} */ (value));
    default: return short(value);
  }
}

/**
 * The bad rows, a hundred at a time.
 * @param {BadRow[]} bad
 * @param {number} total
 */
export function badRows(bad, total) {
  const body = (/** @type {BadRow[]} */ some) => some.flatMap(({ row: number, wrong }) => wrong.map(({ name, detail }) =>
    row(number > 0 ? String(number) : 'the file', [fieldOf(name)?.label ?? (name || 'the row'), detail])));
  const shown = table('Rows that do not fit', ['Row', 'Column', 'What is wrong'], body(bad.slice(0, AT_A_TIME)), 'text');
  const place = el('div', { class: 'bad' }, shown);
  let next = AT_A_TIME;
  const more = el('button', { type: 'button', onclick: () => {
    shown.querySelector('tbody')?.append(...body(bad.slice(next, next + AT_A_TIME)));
    next += AT_A_TIME;
    more.hidden = next >= bad.length;
  } }, 'Show more of them');
  if (bad.length > AT_A_TIME) place.append(more);
  if (total > bad.length) place.append(el('p', { class: 'hint' }, `The first ${counted(bad.length, 'bad row')} of ${total} are listed.`));
  return place;
}

/** "Bluestem 80, Fescue 40", each with a link to the sled. @param {Map<string, number>} bySled @param {Sled[]} sleds */
export function sledLinks(bySled, sleds) {
  return el('ul', { class: 'upload-sleds' }, ...[...bySled].map(([id, count]) =>
    el('li', {}, el('a', { href: `/fleet?sled=${encodeURIComponent(id)}` }, nameOf(id, sleds)), ` ${counted(count, 'reading')}`)));
}
