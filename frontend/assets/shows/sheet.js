// @ts-check
// The sheet of a show on the screen.

import { cardTable } from '../lib/cardtable.js';
import { el } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { against, homeWords, outcomeWords, remarks, stoodForWords, sureWords, tonightWords, topsOut } from '../model/showwords.js';
import { startWords } from '../model/words.js';
import { hookWords, inForce } from './hooks.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sheet, SheetRow } from '../model/showtypes.js' */
/** @import { Answer } from '../model/types.js' */

/** @param {Sheet} sheet @param {Units} units @param {typeof import('./inbox.js')} [inBox]  where a class has a weight */
export function sheetTable(sheet, units, inBox) {
  const rows = sheet.rows.map((row) => el('tr', { class: row.tonight.nearest?.out_of_reach ? 'out' : '' },
    el('th', { scope: 'row' }, row.name, small(row.notes)),
    el('td', {}, homeWords(row.home, row.home_sled_name, units), small(stoodForWords(row.home, units))),
    answerCell(row.tonight, row.home.start_ft, units),
    el('td', {}, topsOut(row.tonight, units), small(against(row.tonight, units)), small(row.full_pull?.detail)),
    el('td', {}, ...(inBox?.inTheBox(row.weight, units) ?? [])),
    el('td', {}, row.tonight.nearest ? sureWords(row.tonight) : ''),
    pullOffCell(row, units, inBox),
    el('td', {}, ...happened(row, units))));
  return cardTable(`Every class of ${isolated(sheet.name)} on ${isolated(sheet.sled_name)}`,
    ['Class', 'Used to', `On ${isolated(sheet.sled_name)}`, 'Tops out', 'In the box', 'How sure', 'Pull-off', 'What happened'], rows);
}

/** @param {string|undefined|false} text */
function small(text) {
  return text && el('small', {}, text);
}

/**
 * The gear in large print, with start position and remarks.
 * @param {Answer} answer
 * @param {number} homeStartFt
 * @param {Units} units
 */
export function answerCell(answer, homeStartFt, units) {
  const { nearest } = answer;
  if (!nearest) return el('td', {}, el('strong', {}, 'not known'), small(answer.detail));
  return el('td', {}, el('strong', { class: 'gear' }, nearest.gear), ` from ${startWords(nearest.start_ft, units)}`,
    small(remarks(answer, homeStartFt, units).join('; ')));
}

/** @param {SheetRow} row @param {Units} units @param {typeof import('./inbox.js')} [inBox] */
function pullOffCell({ pull_off: pullOff }, units, inBox) {
  if (!pullOff) return el('td', {});
  const { tonight } = pullOff;
  if (!tonight.nearest) return el('td', {}, 'not known', small(tonight.detail));
  return el('td', {}, tonightWords(tonight, units),
    small([topsOut(tonight, units), against(tonight, units), sureWords(tonight)].join('; ')),
    ...(inBox?.inPullOff(pullOff, units) ?? []));
}

/** @param {SheetRow} row @param {Units} units */
function happened(row, units) {
  return [
    ...inForce(row.as_run).filter(({ replaced }) => !replaced).map((span) =>
      el('small', {}, `${hookWords(span)}: ${isolated(span.line.gear)} from ${startWords(span.line.start_ft, units)}`)),
    small(outcomeWords(row.outcome, units)),
  ].filter((part) => part instanceof Node);
}
