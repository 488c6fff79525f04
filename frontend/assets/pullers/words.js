// @ts-check
// The show and its classes as the pullers' page lists them.

import { dateWords } from '../lib/dates.js';
import { el } from '../lib/dom.js';
import { capitalized, isolated } from '../lib/text.js';
import { noted } from '../lib/units.js';
import { basisWords, startWords, topOutTonight } from '../model/words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sheet, SheetRow } from '../model/showtypes.js' */

/** The sled and the show. @param {Sheet} sheet @returns {Node[]} */
export function showWords(sheet) {
  return [
    el('span', {}, 'Sled: ', el('strong', {}, sheet.sled_name || 'not known yet')), el('br'),
    el('span', {}, `${isolated(sheet.name)}, ${dateWords(sheet.date)}`),
    ...(sheet.night?.detail ? [el('br'), el('span', {}, sheet.night.detail)] : []),
    ...(sheet.over ? [el('br'), el('span', {}, 'This show is over; below is the sheet it was run with.')] : []),
  ];
}

/** A class: its gear tonight, start position and top-out. @param {SheetRow} row @param {Units} units */
export function classItem(row, units) {
  const name = el('p', { class: 'class' }, row.name);
  const { nearest, detail } = row.tonight;
  if (row.tonight.sled === null) return el('li', {}, name);
  if (!nearest) return el('li', {}, name, el('p', {}, `Gear not known. ${detail ?? ''}`.trim()));
  return el('li', {}, name,
    el('p', { class: 'setting' }, el('strong', {}, nearest.gear), ` from ${startWords(nearest.start_ft, units)}, tops out about `,
      topOutTonight(nearest, units)),
    ...remarks(row, units).map((text) => el('p', { class: 'remark' }, text)));
}

/** @param {SheetRow} row @param {Units} units */
function remarks({ tonight, as_run: asRun }, units) {
  const { nearest, runner_up: runnerUp } = tonight;
  if (!nearest) return [];
  const said = [];
  if (nearest.confidence === 'toss-up' && runnerUp) said.push(`A toss-up with ${isolated(runnerUp.gear)}: the operator decides.`);
  if (nearest.out_of_reach) said.push('Out of reach: this is the nearest there is.');
  if (nearest.basis !== 'measured') said.push(`${capitalized(basisWords(nearest.basis, nearest.stated_by))}.`);
  for (const line of asRun) {
    const start = line.start_ft === 0 ? '' : ` from ${noted(line.start_ft, units)} forward`;
    said.push(`Set: ${isolated(line.gear)}${start}, from ${line.pull_off ? 'the pull-off, ' : ''}hook ${line.from_hook} on.`);
  }
  return said;
}
