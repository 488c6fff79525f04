// @ts-check
// The changes of a sled's parts: noted, listed, taken back; and the chart as it was on an earlier day.

import { get, request, Sending } from './api.js';
import { askYes } from './dialogues.js';
import { byId, control, el, row, table } from './dom.js';
import { numberIn, refuse, submitting } from './forms.js';
import { withKey } from './key.js';
import { fixed, noted, plusMinus, withPlusMinus } from './units.js';
import { basisWords, counted, dateWords, startWords } from './words.js';

/** @typedef {import('./partstypes.js').Page} Page */
/** @typedef {import('./partstypes.js').Change} Change */
/** @typedef {import('./partstypes.js').Day} Day */
/** @typedef {import('./types.js').Chart} Chart */
/** @typedef {import('./types.js').Fault} Fault */

const sending = new Sending();

/**
 * The changes and the test days on one time line, newest first.
 * @param {Page} page
 * @param {Change[]} changes
 * @param {Day[]} days
 */
export function showChanges(page, changes, days) {
  const entries = [
    ...changes.map((change) => ({ on: change.made_on, first: false, item: changeItem(page, change) })),
    ...days.map((day) => ({ on: day.measured_on, first: true, item: dayItem(day) })),
  ].sort((a, b) => b.on.localeCompare(a.on) || Number(b.first) - Number(a.first)); // readings of the day itself count as made after it
  if (changes.length === 0) entries.unshift({ on: '', first: false, item: el('li', {}, el('p', {}, 'No change is noted.')) });
  byId('change-list', HTMLOListElement).replaceChildren(...entries.map(({ item }) => item));
}

/** @param {Page} page @param {Change} change */
function changeItem(page, change) {
  return el('li', { class: 'change' },
    el('p', {}, el('strong', {}, dateWords(change.made_on)), `: ${change.what}`),
    el('p', {}, effectWords(change, page)),
    el('button', { type: 'button', onclick: () => takeBack(page, change) }, 'Take this change back'));
}

/** @param {Day} day */
function dayItem(day) {
  const name = day.day === day.measured_on ? 'test day' : day.day;
  return el('li', {}, el('p', { class: 'hint' }, `${dateWords(day.measured_on)}: ${name}, ${counted(day.readings, 'reading')}`));
}

/** @param {Change} change @param {Page} page */
function effectWords(change, page) {
  if (change.effect === 'unknown') return 'Nobody knows what it did: earlier readings no longer count.';
  const travel = change.travel_ft === undefined ? '' : ` The travel is ${noted(change.travel_ft, page.units())} since.`;
  if (change.moves_pct === null) return `It moved the gears by ratios of their own; earlier readings are carried.${travel}`;
  const by = Math.abs(change.moves_pct);
  return `It moved every top-out by ${fixed(by, 1)} %, ${change.moves_pct < 0 ? 'earlier' : 'later'}; earlier readings are carried.${travel}`;
}

/** @param {Page} page @param {Change} change */
async function takeBack(page, change) {
  const form = byId('as-of-form', HTMLFormElement);
  const yes = await askYes({ title: 'Take this change back?', explain: `“${change.what}” of ${dateWords(change.made_on)} will be as if it had never been noted. Readings stay.`, confirm: 'Take it back' });
  if (!yes) return;
  await submitting(form, async () => {
    await withKey((key) => request('DELETE', `/v1/changes/${encodeURIComponent(change.id)}`, { key }));
    await page.changed();
  });
}

/** @param {Page} page */
export function startChanges(page) {
  const form = byId('change-form', HTMLFormElement);
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    submitting(form, async () => {
      const body = changeIn(form, page);
      await withKey((key) => request('POST', `${page.path}/changes`, { body, key, idempotencyKey: sending.keyFor(JSON.stringify(body)) }));
      sending.arrived();
      form.reset();
      await page.changed();
    });
  });
  const asOf = byId('as-of-form', HTMLFormElement);
  asOf.addEventListener('submit', (event) => {
    event.preventDefault();
    submitting(asOf, async () => {
      const day = control(asOf, 'as_of').value;
      refuse(day ? [] : [{ at: 'as_of', detail: 'Pick a day.' }]);
      const chart = /** @type {Chart} */ (await get(`${page.path}/chart`, { query: { as_of: day } }));
      byId('as-of', HTMLDivElement).replaceChildren(chartTable(chart, page, day));
    });
  });
}

/** @param {HTMLFormElement} form @param {Page} page */
function changeIn(form, page) {
  /** @type {Fault[]} */
  const faults = [];
  /** @type {Record<string, number>} */
  const driveline = {};
  for (const name of ['sprocket_teeth', 'axle_ratio', 'final_ratio', 'other_ratio', 'tyre_circumference_ft']) {
    const value = numberIn(control(form, `driveline.${name}`), faults);
    if (value !== undefined) driveline[name] = value;
  }
  const gears = page.sled().gears
    .map(({ label }, place) => ({ label, ratio: numberIn(control(form, `gears[${place}].ratio`), faults) }))
    .filter(({ ratio }) => ratio !== undefined);
  const travel = numberIn(control(form, 'travel_ft'), faults);
  const made = { made_on: control(form, 'made_on').value, what: control(form, 'what').value.trim() };
  if (!made.made_on) faults.push({ at: 'made_on', detail: 'On which day?' });
  if (!made.what) faults.push({ at: 'what', detail: 'What was done, in a few words?' });
  refuse(faults);
  const effect = new FormData(form).get('effect');
  return {
    ...made, effect, travel_ft: travel, gears: gears.length > 0 ? gears : undefined,
    driveline: Object.keys(driveline).length > 0 ? driveline : undefined,
  };
}

/** @param {Chart} chart @param {Page} page @param {string} day */
function chartTable(chart, page, day) {
  const rows = chart.gears.flatMap((gear) => gear.top_outs.filter((at) => at.top_out_ft !== null).map((at) => row(gear.label, [
    startWords(at.start_ft, page.units()),
    withPlusMinus(at.top_out_ft ?? 0, plusMinus(at.low_ft ?? 0, at.high_ft ?? 0), page.units()),
    basisWords(at.basis, at.stated_by),
  ])));
  if (rows.length === 0) return el('p', {}, `Nothing was known of it on ${dateWords(day)}.`);
  return table(`The chart of ${page.sled().name} on ${dateWords(day)}`, ['Gear', 'Start', 'Topped out at', 'Basis'], rows);
}
