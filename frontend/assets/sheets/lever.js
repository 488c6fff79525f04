// @ts-check
// The card for the lever: one page a sled, with the foot where every gear tops out and its nearest gear on the crew's reference sled.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { address, get, getAll, onlyLatest, Problem, request } from '../lib/api.js';
import { dateWords, dayOf } from '../lib/dates.js';
import { byId, el, putParts, putText } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { LengthField, startInLink } from '../lib/lengthfield.js';
import { capitalized } from '../lib/text.js';
import { plusMinus, rounded } from '../lib/units.js';
import { offerSleds } from '../model/sleds.js';
import { basisWords, differenceWords, startWords } from '../model/words.js';
import { Footnotes } from './footnotes.js';
import { nameClass, paperTable } from './paper.js';

/** @import { Chart, FleetTable, Sled, TableCell, TopOut } from '../model/types.js' */

/**
 * @typedef {object} Card
 * @property {Chart} chart
 * @property {FleetTable} table
 * @property {number[]} marks  forward start positions, ft
 * @property {Date} at         of when it is
 */

const MARKS = 3; // more are not legible at arm's length
const SHORT_LABEL = 4; // characters, in the largest letters
const USUAL_MARKS_FT = [2, 4]; // our own assumption, for a sled that was only ever measured from full back

const link = new URLSearchParams(location.search);
const id = link.get('sled') ?? '';
const path = `/v1/sleds/${encodeURIComponent(id)}`;
const latest = onlyLatest();
const form = byId('question', HTMLFormElement);
const reference = byId('reference', HTMLSelectElement);
/** @type {Sled[]} */
let sleds = [];
/** When the last change was made and what it was; the last day that was measured. */
let since = { made: '', what: '', measured: '' };
/** @type {Card|undefined} */
let card;

let units = startFrame((chosen) => {
  units = chosen;
  for (const mark of fields) mark.setUnits(units);
  show();
  if (card) latest(load(card.marks), (now) => { card = now; show(); });
});
const fields = Array.from({ length: MARKS }, (_, place) => new LengthField(byId(`mark-${place + 1}`, HTMLInputElement), units));

byId('print', HTMLButtonElement).addEventListener('click', () => print());
reference.addEventListener('change', () => { putInLink(); show(); });
onSubmit(form, async () => {
  const marks = readMarks();
  card = await load(marks);
  putInLink();
  show();
});
start().catch(showPageProblem);

async function start() {
  if (!id) throw new Problem(404, 'No sled', 'Which sled? Open one under Fleet, and its card from there.');
  const [all, chart, { items: changes }, { items: days }] = await Promise.all([
    /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds')),
    /** @type {Promise<Chart>} */ (get(`${path}/chart`, { query: { units } })),
    /** @type {Promise<{items: {made_on: string, what: string}[]}>} */ (get(`${path}/changes`)),
    /** @type {Promise<{items: {measured_on: string}[]}>} */ (get(`${path}/days`, { query: { units } })),
  ]);
  sleds = all;
  const change = changes.reduce((last, each) => (each.made_on >= last.made_on ? each : last), { made_on: '', what: '' });
  since = { made: change.made_on, what: change.what, measured: days.map((day) => day.measured_on).sort().at(-1) ?? '' };
  const marks = link.getAll('start').map(Number).filter((mark) => mark > 0).slice(0, MARKS);
  card = await load(link.has('start') ? marks : usualMarks(chart));
  const others = sleds.filter((sled) => sled.id !== id);
  offerSleds(reference, others, link.get('reference') ?? await crewsReference(others), 'no other sled');
  byId('back', HTMLAnchorElement).href = address('/fleet', { sled: id });
  show();
  byId('view', HTMLDivElement).hidden = false;
}

/** Up to three forward marks, those that were measured most. @param {Chart} chart */
function usualMarks(chart) {
  /** @type {Map<number, number>} */
  const readings = new Map();
  for (const at of chart.gears.flatMap((gear) => gear.top_outs)) {
    if (at.start_ft > 0) readings.set(at.start_ft, (readings.get(at.start_ft) ?? 0) + at.readings);
  }
  if (readings.size === 0) {
    const travel = chart.travel_ft;
    return chart.shape === 'full-back-only' || travel === null ? [] : USUAL_MARKS_FT.filter((mark) => mark < travel);
  }
  return [...readings].sort(([, a], [, b]) => b - a).slice(0, MARKS).map(([mark]) => mark).sort((a, b) => a - b);
}

/** The sled that most classes are used to; nothing where that is this one. @param {Sled[]} others */
async function crewsReference(others) {
  const classes = await /** @type {Promise<{setting: {sled?: string}}[]>} */ (getAll('/v1/classes'));
  /** @type {Map<string, number>} */
  const count = new Map();
  for (const { setting: { sled } } of classes) if (sled) count.set(sled, (count.get(sled) ?? 0) + 1);
  const most = [...count].sort(([, a], [, b]) => b - a)[0]?.[0];
  if (most === id) return '';
  return most ?? others.find(({ retired }) => !retired)?.id ?? '';
}

/** @param {number[]} marks @returns {Promise<Card>} */
async function load(marks) {
  const [{ data: chart, at }, { data: table, at: tableAt }] = await Promise.all([
    request('GET', `${path}/chart`, { query: { start_ft: ['0', ...marks.map(startInLink)], units } }),
    request('GET', '/v1/table', { query: { reference: id, units } }),
  ]);
  return {
    chart: /** @type {Chart} */ (chart), table: /** @type {FleetTable} */ (table), marks, at: at < tableAt ? at : tableAt,
  };
}

function readMarks() {
  throwFaults(fields.flatMap((field, place) => (field.feet === null ? [{ at: `mark_${place + 1}`, detail: field.fault }] : [])));
  const marks = fields.map(({ feet }) => feet).filter((feet) => typeof feet === 'number' && feet > 0);
  return [.../** @type {Set<number>} */ (new Set(marks))].sort((a, b) => a - b);
}

function putInLink() {
  history.replaceState(null, '', address('/lever', { sled: id, reference: reference.value, start: card?.marks.map(startInLink), units }));
}

function show() {
  const sled = sleds.find((each) => each.id === id);
  if (!card || !sled) return;
  const { chart, table, marks } = card;
  fields.forEach((field, place) => { field.feet = marks[place]; });
  setTitle(`Card for the lever of ${sled.name}`);
  const name = byId('name', HTMLHeadingElement);
  name.textContent = sled.name;
  name.className = nameClass(sled.name);
  putParts('holds', ...holdsWords(card.at));
  putText('guest', [id, reference.value].map((of) => table.guests?.[of]?.detail ?? '').filter(Boolean).join(' '));
  const known = chart.gears.some(({ top_outs: at }) => at.some(({ top_out_ft: topOut }) => topOut !== null));
  putParts('none', ...(known ? [] : [`Nothing is known yet of where the gears of ${sled.name} top out: measure them first.`]));
  for (const part of ['means', 'print']) byId(part, HTMLElement).hidden = !known;
  byId('caution', HTMLParagraphElement).textContent = table.caution;
  const notes = new Footnotes();
  byId('body', HTMLDivElement).replaceChildren(...(known ? rows(sled, card, notes) : []));
  notes.show();
}

/** From when the card holds. @param {Date} at @returns {(string|Node)[]} */
function holdsWords(at) {
  const measured = since.measured ? `last measured ${dateWords(since.measured)}` : 'never measured';
  const parts = since.made ? [el('span', { class: 'parts' }, `; parts as since ${dateWords(since.made)}: ${since.what}`)] : [];
  return [el('strong', {}, `Holds from ${dayOf(at)}`), ` in place of any earlier card; ${measured}`, ...parts];
}

/** @param {Sled} sled @param {Card} card @param {Footnotes} notes */
function rows(sled, { chart, table, marks }, notes) {
  const other = sleds.find((each) => each.id === reference.value);
  const starts = [0, ...marks].map((mark) => `${capitalized(startWords(mark, units))}, ${units}`);
  const heads = ['Gear', ...starts, ...(other ? [`Nearest on ${other.name}`] : [])];
  return paperTable(`Where the gears of ${sled.name} top out`, heads, chart.gears.map(({ label, top_outs: topOuts }) => {
    const cells = topOuts.map((at) => el('td', {}, ...topsOut(at, notes)));
    if (other) cells.push(el('td', { class: 'other' }, ...nearestOn(table.rows.find(({ gear }) => gear === label)?.on[other.id], notes)));
    cells.forEach((cell, place) => { cell.dataset.head = heads[place + 1]; });
    return el('tr', {}, el('th', { scope: 'row', class: label.length > SHORT_LABEL ? 'long-label' : '' }, label), ...cells);
  }));
}

/** @param {TopOut} at @param {Footnotes} notes @returns {(string|Node)[]} */
function topsOut({ top_out_ft: topOut, tonight_low_ft: low, tonight_high_ft: high, basis, stated_by: by }, notes) {
  if (topOut === null || low === null || high === null) return [el('span', { class: 'pm' }, 'not known')];
  const { value, plusMinus: pm } = rounded(topOut, plusMinus(low, high), units);
  const measured = basis === 'measured' || basis === 'interpolated';
  return [el('strong', { class: 'far' }, value), ' ', el('span', { class: 'pm' }, `±\u00a0${pm}`),
    ...(measured ? [] : [notes.mark(basisWords(basis, by))])];
}

/** @param {TableCell|undefined} cell @param {Footnotes} notes @returns {(string|Node)[]} */
function nearestOn(cell, notes) {
  if (!cell) return [el('span', { class: 'pm' }, 'not known')];
  const remark = cell.out_of_reach ? 'out of reach' : cell.confidence === 'toss-up' ? 'a toss-up' : '';
  return [el('strong', { class: 'far' }, cell.gear),
    el('small', {}, differenceWords(cell.difference_ft, cell.plus_minus_tonight_ft, units), remark && el('strong', {}, `, ${remark}`),
      cell.basis !== 'measured' && notes.mark(basisWords(cell.basis, cell.stated_by)))];
}
