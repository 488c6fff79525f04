// @ts-check
// Whether this browser is on the way to its first answer between two sleds: it was shown the first steps, and no such answer since.

import { load, save } from '../lib/storage.js';

const STORED = 'evenpull.on-the-way';

export function isOnTheWay() {
  return load(() => localStorage, STORED) === true;
}

/** @param {boolean} now */
export function setOnTheWay(now) {
  save(() => localStorage, STORED, now || undefined);
}
