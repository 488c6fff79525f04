// @ts-check
// The table of the whole fleet against one sled.

import { startSaving } from '../lib/csv.js';
import { byId, el, row, table } from '../lib/dom.js';
import { nameOf } from '../lib/text.js';
import { guestLines } from '../model/guest.js';
import { basisWords, differenceWords, startWords, SURE, topOutTonight } from '../model/words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { FleetTable, Sled, TableCell } from '../model/types.js' */
/** @import { Question } from './question.js' */

/** The question and units of the shown table. @type {{question: Question, units: Units}|undefined} */
let shown;

startSaving('fleet-table-csv', (text) => { if (text) byId('fleet-table-about', HTMLParagraphElement).textContent = text; }, () => {
  const { question, units } = /** @type {NonNullable<typeof shown>} */ (shown);
  const query = { reference: question.sled, start_ft: question.start, units };
  return { path: '/v1/table.csv', query, name: `fleet-${question.sled}.csv` };
});

/** @param {FleetTable} fleet @param {Question} question @param {Sled[]} sleds @param {Units} units */
export function showTable(fleet, question, sleds, units) {
  shown = { question, units };
  const reference = nameOf(fleet.reference, sleds);
  const from = startWords(fleet.start_ft, units);
  byId('fleet-table-about', HTMLParagraphElement).textContent =
    `For each gear of ${reference}, from ${from}: the nearest gear on every other sled, and how much later or earlier it tops out. ` +
    'Each ± is of one more pull tonight.';
  const rows = fleet.rows.map((each) => {
    const topOut = topOutTonight(each, units);
    const known = topOut ? el('div', { class: 'cell' }, topOut, el('small', {}, basisWords(each.basis))) : 'not known';
    const cells = fleet.sleds.map((id) => cellOf(each.on[id], fleet.start_ft, units));
    return row(each.gear, [known, ...cells], { class: each.gear === question.gear ? 'chosen' : '' });
  });
  byId('fleet-table-body', HTMLDivElement).replaceChildren(
    table(`${reference} against the fleet`, [`${reference}`, 'Tops out at', ...fleet.sleds.map((id) => nameOf(id, sleds))], rows),
    ...guestLines(...Object.values(fleet.guests ?? {})));
  byId('fleet-table', HTMLElement).hidden = false;
}

/** @param {TableCell|undefined} cell @param {number} startFt @param {Units} units */
function cellOf(cell, startFt, units) {
  if (!cell) return 'nothing known';
  const remarks = [cell.out_of_reach ? 'out of reach' : SURE[cell.confidence]];
  if (cell.basis !== 'measured') remarks.push(basisWords(cell.basis, cell.stated_by));
  if (cell.compared_at === 'full-back' && startFt !== 0) remarks.push('compared at full back');
  return el('div', { class: 'cell' }, el('strong', {}, cell.gear), ' ',
    el('span', {}, differenceWords(cell.difference_ft, cell.plus_minus_tonight_ft, units)),
    el('small', {}, remarks.join('; ')));
}
