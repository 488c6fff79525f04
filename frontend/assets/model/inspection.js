// @ts-check
// Inspections: the API's types, and their words. Nothing here says that a sled may pull.

import { dateWords, momentWords } from '../lib/dates.js';
import { el } from '../lib/dom.js';
import { counted, isolated } from '../lib/text.js';

/** How often: one of the two. @typedef {{what: string, every_shows?: number, every_days?: number, calibration: boolean}} ItemWords */
/** @typedef {ItemWords & {id: string}} InspectionItem */

/**
 * @typedef {object} Inspection
 * @property {string} id
 * @property {string} item
 * @property {string} what
 * @property {boolean} well
 * @property {string} [note]
 * @property {string} [done]
 * @property {string} on
 * @property {string} [show]
 * @property {string} by
 * @property {string} signed_by
 * @property {string} created_at
 */

/**
 * @typedef {object} InspectionList
 * @property {string} sled
 * @property {InspectionItem[]} items
 * @property {ItemWords[]} [offered]  while nothing is on the list
 * @property {number} revision
 * @property {string} caution
 */

/** @typedef {{id: string, name: string, date: string, zone: string}} DueShow */
/** @typedef {InspectionItem & {due: boolean, due_on: string|null, last: Inspection|null, not_well: Inspection[]}} DueItem */

/**
 * @typedef {object} Due
 * @property {string} sled
 * @property {string} sled_name
 * @property {string} on
 * @property {DueShow|null} show
 * @property {DueShow[]} shows
 * @property {DueItem[]} items
 * @property {string} caution
 */

/** "every show", "every 3 shows", "every day", "every 30 days". @param {ItemWords} item */
export function oftenWords({ every_shows: shows, every_days: days }) {
  if (shows) return shows === 1 ? 'every show' : `every ${shows} shows`;
  return days === 1 ? 'every day' : `every ${days} days`;
}

/** "looked at, well" or what was not. @param {Inspection} found */
export function foundWords({ well, note, done }) {
  return [well ? 'looked at, well' : 'not well', note && `: ${note}`, done && `. Done: ${done}`].filter(Boolean).join('');
}

/** "Ann, May 9, 2026, 2:05 PM", or "Ann (Gate crew), …" where the key has another name. @param {Inspection} found */
export function signedWords({ by, signed_by: key, created_at: at }) {
  return `${by}${key && key !== by ? ` (${key})` : ''}, ${momentWords(at)}`;
}

/** "for Harvest Pull, Jul 18, 2026". @param {DueShow|null} show */
export function forShowWords(show) {
  return show ? `for ${isolated(show.name)}, ${dateWords(show.date)}` : '';
}

/** What is not well, oldest first. @param {Due} due @returns {Inspection[]} */
export function notWell({ items }) {
  return items.flatMap(({ not_well: found }) => found).sort((a, b) => a.created_at.localeCompare(b.created_at));
}

/** The notice of what is not well; nothing when there is nothing. @param {Due} due */
export function notWellNotice(due) {
  const found = notWell(due);
  if (found.length === 0) return [];
  return [el('div', { class: 'not-well' },
    el('p', {}, el('strong', {}, `Not well on ${isolated(due.sled_name)}`), ', and nobody has written what was done:'),
    el('ul', {}, ...found.map((one) => el('li', {}, el('strong', {}, one.what), `: ${one.note} `, el('small', {}, signedWords(one))))))];
}

/** "4 of 12 due". @param {Due} due */
export function countWords({ items }) {
  const due = items.filter((item) => item.due).length;
  return due === 0 ? `nothing of ${counted(items.length, 'line')} is due` : `${due} of ${counted(items.length, 'line')} due`;
}
