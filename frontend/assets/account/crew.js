// @ts-check
// What is for the signed-in crew alone: operators and managers. Without signal it is what this device was signed in as last.

import { get, Problem } from '../lib/api.js';
import { askSession, isOfCrew, wasOfCrew } from './session.js';

/** @import { Options } from '../lib/api.js' */
/** @import { Session } from './session.js' */

/** Whether somebody of the crew is signed in. */
export async function isCrew() {
  const who = await askSession();
  return who ? isOfCrew(who) : wasOfCrew();
}

/** Calls back when somebody of the crew signs in or out. @param {(is: boolean) => void} callback */
export function onCrewChange(callback) {
  /** @type {boolean|undefined} */
  let before;
  document.addEventListener('evenpull:session', (event) => {
    const is = isOfCrew(/** @type {CustomEvent<Session>} */ (event).detail);
    if (before !== undefined && before !== is) callback(is);
    before = is;
  });
}

/**
 * An answer that only the crew gets. Undefined where nobody is of the crew, or where it is not there without signal.
 * @template T
 * @param {string} path
 * @param {Options['query']} [query]
 * @returns {Promise<T|undefined>}
 */
export async function getForCrew(path, query) {
  if (!await isCrew()) return undefined;
  try {
    return await /** @type {Promise<T>} */ (get(path, { query }));
  } catch (error) {
    if (error instanceof Problem) return undefined;
    throw error;
  }
}
