// @ts-check
// What the page remembers: what is typed, until the tab is closed; and on this device the sled and the circumstances
// of the last reading.

import { today } from '../lib/dates.js';
import { load, save } from '../lib/storage.js';

/** @import { Units } from '../lib/units.js' */

/**
 * What is typed, as it stands in the fields by their names; the day it was typed on, and the units.
 * @typedef {{on: string, sled: string, units: Units, values: Record<string, string>, stopped: boolean}} Draft
 */

/** @typedef {{on: string, sled: string, values: Record<string, string>}} Last */

const DRAFT = 'evenpull.note.draft';
const LAST = 'evenpull.note.last';
const VISIT = 'evenpull.note.visit';

// Of the sled, not of the day: they do not go over to another one.
export const SLED_FIELDS = ['weights', 'tyre_psi', 'speed_mph'];

/** @param {string} corrects  so that a correction does not mix with what is noted beside it @returns {Draft|undefined} */
export function loadDraft(corrects) {
  return load(() => sessionStorage, `${DRAFT}${corrects}`);
}

/** @param {string} corrects @param {Draft|undefined} draft  nothing forgets it */
export function saveDraft(corrects, draft) {
  save(() => sessionStorage, `${DRAFT}${corrects}`, draft);
}

/** @returns {any[]} */
export function loadVisit() {
  const entries = load(() => sessionStorage, VISIT);
  return Array.isArray(entries) ? entries : [];
}

/** @param {unknown[]} entries */
export function saveVisit(entries) {
  save(() => sessionStorage, VISIT, entries);
}

/** @returns {Last|undefined} */
export function loadLast() {
  return load(() => localStorage, LAST);
}

/** @param {Omit<Last, 'on'>} last */
export function saveLast(last) {
  save(() => localStorage, LAST, { on: today(), ...last });
}

/**
 * What the last reading says of the next: all of it on the same day. On a later day the date is today's, and what the
 * test day was called is over.
 * @param {string} sled  the one that is noted now
 * @returns {Record<string, string>}
 */
export function carriedOver(sled) {
  const last = loadLast();
  const values = { ...last?.values };
  if (last?.on !== today()) {
    values.measured_on = today();
    values.day = '';
  }
  if (last?.sled !== sled) for (const name of SLED_FIELDS) values[name] = '';
  return values;
}
