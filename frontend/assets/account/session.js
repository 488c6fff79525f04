// @ts-check
// Who this browser is signed in as. A cookie that no script can read carries it; nothing of the key is kept here.

import { request } from '../lib/api.js';

/** @typedef {'manager'|'operator'|'promoter'} Role */
/** @typedef {{signed_in: boolean, private: boolean, name?: string, role?: Role, expires_at?: string}} Session */

const PATH = '/v1/session';
const ANSWER_CACHE = 'evenpull-answers'; // the worker's store of what was seen last

const channel = typeof BroadcastChannel === 'function' ? new BroadcastChannel('evenpull.session') : null;

/** @type {Session|undefined} */
let current;
/** @type {Promise<Session|undefined>|undefined} */
let pending;
/** How often somebody signed in or out here: an answer from before that is out of date. */
let changes = 0;

/** What is known so far; undefined while the server was not reached. */
export function session() {
  return current;
}

/** What the server says, asked once. Undefined where it is not reached: then it is asked again next time. */
export function askSession() {
  pending ??= load();
  return pending;
}

/** Asks the server again. */
export function refreshSession() {
  pending = load();
  return pending;
}

/** @returns {Promise<Session|undefined>} */
async function load() {
  const before = changes;
  try {
    const { data } = /** @type {{data: Session}} */ (await request('GET', PATH));
    if (before === changes) await setSession(data);
  } catch {
    pending = undefined;
  }
  return current;
}

/**
 * Signs in; the key is sent and forgotten.
 * @param {string} key
 * @throws {Problem} where the key is not taken
 */
export async function signIn(key) {
  const { data } = /** @type {{data: Session}} */ (await request('POST', PATH, { body: { key } }));
  changes++;
  await setSession(data);
  channel?.postMessage(null);
}

/** @throws {Problem} where the server is not reached: then nothing has changed */
export async function signOut() {
  await request('DELETE', PATH);
  await sessionEnded();
  channel?.postMessage(null);
}

/** The server does not know this browser any more. */
export function sessionEnded() {
  changes++;
  return setSession({ signed_in: false, private: current?.private ?? false });
}

/** @param {Session} now */
async function setSession(now) {
  current = now;
  pending = Promise.resolve(now);
  if (now.private && !now.signed_in) await deleteOfflineCopies();
  document.dispatchEvent(new CustomEvent('evenpull:session', { detail: now }));
}

/** What was seen of a private installation is not for whoever has the device next. */
async function deleteOfflineCopies() {
  navigator.serviceWorker?.controller?.postMessage({ deleteAll: true });
  if ('caches' in window) await caches.delete(ANSWER_CACHE);
}

// Another tab signed in or out.
channel?.addEventListener('message', () => { refreshSession(); });
