// @ts-check
// The sheet of a show on the screen.

import { cardTable } from '../../lib/cardtable.js';
import { el } from '../../lib/dom.js';
import { isolated } from '../../lib/text.js';
import {
  against, homeWords, outcomeWords, remarks, stoodForWords, sureWords, tonightWords, topsOut, tossUp,
} from '../../model/showwords.js';
import { startWords } from '../../model/words.js';
import { hookWords, inForce } from './hooks.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Sheet, SheetRow } from '../../model/showtypes.js' */
/** @import { Answer } from '../../model/types.js' */

/** @typedef {typeof import('./inbox.js')|undefined} InBox  there where a class has a weight */

/** @param {Sheet} sheet @param {Units} units @param {InBox} inBox */
export function sheetTable(sheet, units, inBox) {
  const rows = sheet.rows.map((row) => el('tr', { class: row.tonight.nearest?.out_of_reach ? 'out' : '' },
    el('th', { scope: 'row' }, row.name),
    answerCell(row.tonight, row.home.start_ft, units),
    el('td', {}, topsOut(row.tonight, units), small(against(row.tonight, units)),
      row.full_pull?.tops_out !== 'before' && small(row.full_pull?.detail)),
    el('td', {}, ...(inBox?.inTheBox(row.weight, units) ?? [])),
    pullOffCell(row, units, inBox),
    el('td', {}, ...happened(row, units)),
    el('td', {}, homeWords(row.home, row.home_sled_name, units)),
    el('td', { class: 'more' }, more(row, units, inBox))));
  return cardTable(`Every class of ${isolated(sheet.name)} on ${isolated(sheet.sled_name)}`,
    ['Class', `On ${isolated(sheet.sled_name)}`, 'Tops out', 'In the box', 'Pull-off', 'What happened', 'Used to', 'More'], rows);
}

/** What is said once for all classes. @param {Sheet} sheet */
export function saidOnce({ rows }) {
  const details = rows.flatMap(({ full_pull: fullPull }) => fullPull ?? []);
  const first = details[0]?.detail.replace(/^The box/, 'For every class the box');
  const alike = details.length === rows.length && details.every(({ tops_out: at }) => at === 'before');
  return first !== undefined && alike ? [first] : [];
}

/** @param {string|undefined|null|false} text */
function small(text) {
  return text && el('small', {}, text);
}

/**
 * The gear in large print, with start position, how sure it is, and remarks.
 * @param {Answer} answer
 * @param {number} homeStartFt
 * @param {Units} units
 */
export function answerCell(answer, homeStartFt, units) {
  const { nearest } = answer;
  if (answer.sled === null) return el('td', {});
  if (!nearest) return el('td', {}, el('strong', {}, 'not known'), small(answer.detail));
  return el('td', {}, el('strong', { class: 'gear' }, nearest.gear), ` from ${startWords(nearest.start_ft, units)}`,
    small(sureWords(answer)), small(remarks(answer, homeStartFt, units).join('; ')));
}

/** @param {SheetRow} row @param {Units} units @param {InBox} inBox */
function pullOffCell(row, units, inBox) {
  const { pull_off: pullOff } = row;
  if (!pullOff) return el('td', {});
  const { tonight } = pullOff;
  if (tonight.sled === null) return el('td', {});
  if (!tonight.nearest) return el('td', {}, 'not known', small(tonight.detail));
  return el('td', {}, tonightWords(tonight, units), small([topsOut(tonight, units), tossUp(tonight)].filter(Boolean).join('; ')),
    ...(inBox?.inPullOff(row, units) ?? []));
}

/** What is asked for now and then. @param {SheetRow} row @param {Units} units @param {InBox} inBox */
function more(row, units, inBox) {
  const { notes, home, home_sled_name: name, pull_off: pullOff } = row;
  const pulledOff = pullOff?.tonight.nearest && `Pull-off: ${against(pullOff.tonight, units)}; ${sureWords(pullOff.tonight)}.`;
  const usedTo = `Used to ${homeWords(home, name, units)}: ${stoodForWords(home, units)}.`;
  return el('details', {}, el('summary', {}, 'More'),
    ...[usedTo, notes, pulledOff, ...(inBox?.aboutWeights(row, units) ?? [])].map(small).filter((part) => part instanceof Node));
}

/** @param {SheetRow} row @param {Units} units */
function happened(row, units) {
  return [
    ...inForce(row.as_run).filter(({ replaced }) => !replaced).map((span) =>
      el('small', {}, `${hookWords(span)}: ${isolated(span.line.gear)} from ${startWords(span.line.start_ft, units)}`)),
    small(outcomeWords(row.outcome, units)),
  ].filter((part) => part instanceof Node);
}
