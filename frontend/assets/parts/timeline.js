// @ts-check
// Timeline of a sled's changes of parts and test days, newest first.

import { withKey } from '../account/key.js';
import { address, request } from '../lib/api.js';
import { addDays, dateWords } from '../lib/dates.js';
import { askYes } from '../lib/dialogs.js';
import { byId, el } from '../lib/dom.js';
import { attempt } from '../lib/forms.js';
import { counted, sentence } from '../lib/text.js';
import { movedWords, newParts } from './words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Reading } from '../model/types.js' */
/** @import { Change, PartsData } from './types.js' */

/** @typedef {{day: string, on: string, counted: number, aside: number, place: string}} TestDay */

/** The readings by test day. @param {Reading[]} readings */
function testDays(readings) {
  /** @type {Map<string, TestDay>} */
  const days = new Map();
  for (const reading of readings) {
    // A change can fall within a named day: it then has two entries.
    const key = `${reading.measured_on} ${reading.day}`;
    const day = days.get(key) ?? { day: reading.day, on: reading.measured_on, counted: 0, aside: 0, place: reading.place ?? '' };
    if (reading.set_aside) day.aside++;
    else day.counted++;
    days.set(key, day);
  }
  return [...days.values()];
}

/**
 * Shows the timeline.
 * @param {PartsData} known
 * @param {Units} units
 * @param {{path: string, changed: () => Promise<void>, asOf: (day: string) => void}} callbacks
 */
export function showTimeline({ sled, changes, readings }, units, callbacks) {
  /** @type {{on: string, first: number, element: HTMLElement}[]} */
  const entries = [
    // Readings on the day of a change count as taken after it.
    ...testDays(readings).map((day) => ({ on: day.on, first: 0, element: dayItem(day, changes) })),
    ...changes.map((change, place) => ({ on: change.made_on, first: 1 + place, element: changeItem(change, sled.id, units, callbacks) })),
  ];
  entries.sort((a, b) => b.on.localeCompare(a.on) || a.first - b.first);
  byId('no-changes', HTMLParagraphElement).hidden = changes.length > 0;
  byId('timeline', HTMLOListElement).replaceChildren(...entries.map(({ element }) => element));
}

/** @param {TestDay} day @param {Change[]} changes */
function dayItem(day, changes) {
  const since = changes.filter(({ made_on: on }) => day.on < on);
  const state = since.some(({ effect }) => effect === 'unknown')
    ? ' No longer counts.'
    : since.length > 0 ? ' From before the change: moved by the ratio, and stays beside readings made since, unless the two disagree.' : '';
  const named = day.day === day.on ? '' : `, ${day.day}`;
  const aside = day.aside > 0 ? `, ${day.aside} more set aside` : '';
  return el('li', { class: since.length > 0 ? 'day before' : 'day' },
    el('p', {}, el('strong', {}, dateWords(day.on)), `${named}: ${counted(day.counted, 'reading')}${aside}.${state}`));
}

/**
 * @param {Change} change
 * @param {string} sled
 * @param {Units} units
 * @param {{path: string, changed: () => Promise<void>, asOf: (day: string) => void}} callbacks
 */
function changeItem(change, sled, units, { changed, asOf }) {
  const before = addDays(change.made_on, -1);
  const problem = el('p', { class: 'fault', role: 'alert', hidden: true });
  const link = el('a', { href: `${address('/parts', { sled, as_of: before, units })}#as-of` }, 'The chart the day before');
  link.addEventListener('click', (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    asOf(before);
  });
  const button = el('button', { type: 'button', 'data-needs': 'manager', 'data-owner-only': true }, 'Take this change back');
  button.addEventListener('click', async () => {
    button.disabled = true;
    await attempt(problem, () => takeBack(change, changed));
    button.disabled = false;
  });
  return el('li', { class: 'change', 'data-change': change.id },
    el('p', { class: 'what' }, el('strong', {}, dateWords(change.made_on)), `: ${sentence(change.what)}`),
    el('p', {}, `${movedWords(change, units)} ${newParts(change, units)}`),
    problem, el('div', { class: 'actions' }, button, link));
}

/** @param {Change} change @param {() => Promise<void>} changed */
async function takeBack(change, changed) {
  const sure = await askYes({
    title: 'Take this change back?',
    explain: `“${change.what}” of ${dateWords(change.made_on)}: everything will be as if it had never been noted, ` +
      'the parts as well. Readings stay.',
    confirm: 'Take it back',
  });
  if (!sure) return;
  await withKey(() => request('DELETE', `/v1/changes/${encodeURIComponent(change.id)}`));
  await changed();
}
