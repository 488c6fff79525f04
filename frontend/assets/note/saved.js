// @ts-check
// Data of the page in storage: drafts and entries for this tab; the sled and circumstances of the last reading for this device.

import { today } from '../lib/dates.js';
import { load, save } from '../lib/storage.js';
import { FIELDS } from '../model/fields.js';

/** @import { Units } from '../lib/units.js' */

/**
 * Field values as typed, by name, with the day, the units, and the reading that it replaces.
 * @typedef {{on: string, sled: string, units: Units, values: Record<string, string>, stopped: boolean, replaces: string}} Draft
 */

/** @typedef {{on: string, sled: string, values: Record<string, string>}} Last */

const DRAFT = 'evenpull.note.draft';
const LAST = 'evenpull.note.last';
const VISIT = 'evenpull.note.visit';

/** @param {string} corrects  id of the reading being corrected, which has a draft of its own @returns {Draft|undefined} */
export function loadDraft(corrects) {
  return load(() => sessionStorage, `${DRAFT}${corrects}`);
}

/** @param {string} corrects @param {Draft|undefined} draft  undefined deletes it */
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
 * Values that carry over from the last reading: all of them on the same day. On a later day the date is today's and the name of
 * the test day is empty.
 * @param {string} sled  of the next reading
 * @returns {Record<string, string>}
 */
export function carriedOver(sled) {
  const last = loadLast();
  const values = { ...last?.values };
  if (last?.on !== today()) {
    values.measured_on = today();
    values.day = '';
  }
  if (last?.sled !== sled) for (const { name, stays } of FIELDS) if (stays === 'sled') values[name] = '';
  return values;
}
