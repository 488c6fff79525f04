// @ts-check
// The cab sheet: one page, legible at arm's length, with space for a check mark, tonight's weights and a note.

import { dateTimeWords } from '../lib/dates.js';
import { byId, el, putText } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { noted, plusMinus, rounded } from '../lib/units.js';
import { against, tossUp, usedTo } from '../model/showwords.js';
import { noLimits, pullOffWeight, REMAINS, remains, weightToSet } from '../model/weights.js';
import { basisWords, startWords } from '../model/words.js';
import { showDue } from './due.js';
import { Footnotes } from './footnotes.js';
import { nameClass, paperTable, startPaper } from './paper.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Home, SheetRow } from '../model/showtypes.js' */
/** @import { Answer, Weights } from '../model/types.js' */

const HEADS = ['Done', 'Class, used to', 'Tonight', 'Tops out', 'Pull-off', 'Weights', 'Note'];

startPaper('Cab sheet', (sheet, _show, units, at) => {
  byId('over', HTMLParagraphElement).hidden = !sheet.over;
  putText('load-caution', sheet.load_caution ?? '');
  byId('body', HTMLDivElement).classList.toggle('weighed', sheet.load_caution !== undefined);
  const notes = new Footnotes();
  byId('body', HTMLDivElement).replaceChildren(
    ...paperTable(`Every class of ${isolated(sheet.name)} on ${isolated(sheet.sled_name)}`, HEADS,
      sheet.rows.map((row) => rowOf(row, notes, units))));
  notes.show();
  byId('as-of', HTMLParagraphElement).textContent =
    `As of ${dateTimeWords(at)}. If the sled or the classes change after that, this sheet is out of date.`;
}, showDue);

/** @param {SheetRow} row @param {Footnotes} notes @param {Units} units */
function rowOf(row, notes, units) {
  const home = row.home_sled_name;
  return el('tr', {},
    el('td', { class: 'tick' }, el('span', { class: 'box', 'aria-label': 'box to check', role: 'img' })),
    el('th', { scope: 'row', class: nameClass(row.name) }, row.name,
      el('span', { class: 'used' }, 'used to ', el('strong', {}, usedTo(row.home, home, units)),
        `, ${startWords(row.home.start_ft, units)}`)),
    el('td', { class: 'set' }, ...setting(row.tonight, notes, units)),
    el('td', { class: 'out' }, ...topsOut(row.tonight, row.home, notes, units), el('small', {}, against(row.tonight, units))),
    el('td', { class: 'pull-off' }, ...(row.pull_off
      ? [...setting({ ...row.pull_off.tonight, moved_start: null }, notes, units),
        ...topsOut(row.pull_off.tonight, row.pull_off.home, notes, units), el('small', {}, pullOffWeight(row, units))] : [])),
    el('td', { class: 'weights' }, ...weight(row.weight, notes, units),
      row.weights && el('small', { class: 'home' }, home && `on ${home}: `, row.weights), ' ',
      el('span', { class: 'box wide' }, 'tonight')),
    el('td', { class: 'room' }));
}

/**
 * The gear in large print, with start position and warnings.
 * @param {Answer} answer
 * @param {Footnotes} notes
 * @param {Units} units
 */
function setting(answer, notes, units) {
  const { nearest } = answer;
  if (answer.sled === null) return []; // room for a pen
  if (!nearest) return [el('strong', {}, 'not known'), el('small', {}, answer.detail ?? '')];
  const doubt = nearest.out_of_reach ? 'out of reach' : tossUp(answer);
  return [el('div', { class: 'setting-now' }, el('strong', { class: 'gear' }, nearest.gear),
    el('div', {}, el('span', { class: 'start' }, `from ${startWords(nearest.start_ft, units)}`), movedStart(answer, notes, units),
      doubt && el('small', { class: 'doubt' }, doubt)))];
}

/**
 * The weight to set in large print, with its blocks; or why there is none.
 * @param {Weights|undefined} weights
 * @param {Footnotes} notes
 * @param {Units} units
 */
function weight(weights, notes, units) {
  if (!weights) return [];
  const set = weightToSet(weights, units);
  if (!set) return [el('small', { class: 'doubt' }, weights.in_words.cannot ?? '')];
  const unknown = noLimits(weights);
  const rests = remains(weights, units).map(({ short }) => short).join(', ');
  return [el('strong', { class: 'lb' }, set.weight, unknown && notes.mark(unknown)), el('small', { class: 'blocks' }, set.blocks),
    set.onPan && el('small', { class: 'on-pan' }, set.onPan), el('small', { class: 'rests' }, rests, rests && notes.mark(REMAINS))];
}

/** @param {Answer} answer @param {Footnotes} notes @param {Units} units */
function movedStart({ nearest, moved_start: moved }, notes, units) {
  if (!moved?.worth_it) return null;
  const gear = moved.gear === nearest?.gear ? '' : `${isolated(moved.gear)} from `;
  return el('span', { class: 'moved' }, ` or ${gear}${noted(moved.rounded_start_ft, units)}`,
    notes.mark('A moved start: only where class rules allow it. It changes the load at the hook and is harder to repeat than the stop'));
}

/**
 * The distance in large print, its ±, and its basis if it is not measured.
 * @param {Answer} answer
 * @param {Home} home
 * @param {Footnotes} notes
 * @param {Units} units
 */
function topsOut({ nearest }, home, notes, units) {
  if (!nearest) return [];
  const { value, plusMinus: pm } = rounded(nearest.top_out_ft, plusMinus(nearest.tonight_low_ft, nearest.tonight_high_ft), units);
  const parts = [el('span', { class: 'reach' }, el('strong', { class: 'far' }, value), ' ',
    el('span', { class: 'pm' }, `±\u00a0${pm}\u00a0${units}`))];
  if (nearest.basis !== 'measured') parts.push(notes.mark(`Tops out: ${basisWords(nearest.basis, nearest.stated_by)}, not measured there`));
  if (nearest.compared_at === 'full-back' && home.start_ft !== 0) {
    parts.push(notes.mark('Compared at full back, because nothing is known from the start position it is used to'));
  }
  return parts;
}
