// @ts-check
// Who this browser is signed in as. A cookie that no script can read carries it; nothing of the key is kept here.

import { request } from '../lib/api.js';

/** @typedef {'manager'|'operator'|'promoter'} Role */
/** @typedef {{signed_in: boolean, private: boolean, name?: string, role?: Role, expires_at?: string}} Session */

const ADDRESS = '/v1/session';
const KEPT_ANSWERS = 'evenpull-answers'; // the worker's store of what was seen last

const news = typeof BroadcastChannel === 'function' ? new BroadcastChannel('evenpull.session') : null;

/** @type {Session|undefined} */
let known;
/** @type {Promise<Session|undefined>|undefined} */
let asked;
/** How often somebody signed in or out here: an answer from before that is out of date. */
let turns = 0;

/** What is known so far; undefined while the server was not reached. */
export function session() {
  return known;
}

/** What the server says, asked once. Undefined where it is not reached: then it is asked again next time. */
export function askSession() {
  asked ??= load();
  return asked;
}

/** Asks the server again. */
export function refreshSession() {
  asked = load();
  return asked;
}

/** @returns {Promise<Session|undefined>} */
async function load() {
  const began = turns;
  try {
    const { data } = /** @type {{data: Session}} */ (await request('GET', ADDRESS));
    if (began === turns) await become(data);
  } catch {
    asked = undefined;
  }
  return known;
}

/**
 * Signs in; the key is sent and forgotten.
 * @param {string} key
 * @throws {Problem} where the key is not taken
 */
export async function signIn(key) {
  const { data } = /** @type {{data: Session}} */ (await request('POST', ADDRESS, { body: { key } }));
  turns++;
  await become(data);
  news?.postMessage(null);
}

/** @throws {Problem} where the server is not reached: then nothing has changed */
export async function signOut() {
  await request('DELETE', ADDRESS);
  await sessionEnded();
  news?.postMessage(null);
}

/** The server does not know this browser any more. */
export function sessionEnded() {
  turns++;
  return become({ signed_in: false, private: known?.private ?? false });
}

/** @param {Session} now */
async function become(now) {
  known = now;
  asked = Promise.resolve(now);
  if (now.private && !now.signed_in) await forgetAnswers();
  document.dispatchEvent(new CustomEvent('evenpull:session', { detail: now }));
}

/** What was seen of a private installation is not for whoever has the device next. */
async function forgetAnswers() {
  navigator.serviceWorker?.controller?.postMessage({ forget: true });
  if ('caches' in window) await caches.delete(KEPT_ANSWERS);
}

// Another tab signed in or out.
news?.addEventListener('message', () => { refreshSession(); });
