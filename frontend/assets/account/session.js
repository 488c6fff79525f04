// @ts-check
// Who this browser is signed in as. An HttpOnly cookie carries the session. The key is not stored.

import { request } from '../lib/api.js';
import { load as stored, save } from '../lib/storage.js';

/** @typedef {'manager'|'operator'|'promoter'} Role */
/** @typedef {{signed_in: boolean, private: boolean, name?: string, role?: Role, expires_at?: string}} Session */

const PATH = '/v1/session';
const SIGN_OUTS = 'evenpull.signOuts'; // how often this browser signed out of a private installation
const storage = () => localStorage;
const CREW = 'evenpull.crew'; // whether somebody of the crew was signed in last
const ANSWER_CACHE = 'evenpull-answers'; // the service worker's cache of answers

const channel = typeof BroadcastChannel === 'function' ? new BroadcastChannel('evenpull.session') : null;

const signOutsAtStart = stored(storage, SIGN_OUTS);
/** @type {Session|undefined} */
let current;
/** @type {Promise<Session|undefined>|undefined} */
let pending;
/** Counts sign-ins and sign-outs. An answer to a request from before the last one is out of date. */
let changes = 0;

/** The session as known so far; undefined until the server has answered. */
export function session() {
  return current;
}

/** Whether somebody of the crew is signed in: an operator or a manager. @param {Session} who */
export function isOfCrew(who) {
  return who.signed_in && (who.role === 'operator' || who.role === 'manager');
}

/** Whether somebody of the crew was signed in on this device last. */
export function wasOfCrew() {
  return stored(storage, CREW) === true;
}

/** The session, requested once. Undefined when the server is not reached; the next call requests it again. */
export function askSession() {
  pending ??= load();
  return pending;
}

/** Requests the session again. */
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

/** Signs in. The key is sent and not stored. @param {string} key @throws {Problem} when the key is not accepted */
export function signIn(key) {
  return signInWith({ key });
}

/** Signs in by a one-time link. @param {string} link  its secret @throws {Problem} when it was used before or its time is over */
export function signInByLink(link) {
  return signInWith({ link });
}

/** @param {{key: string}|{link: string}} body @returns {Promise<Session>} */
async function signInWith(body) {
  const { data } = /** @type {{data: Session}} */ (await request('POST', PATH, { body }));
  changes++;
  await setSession(data);
  channel?.postMessage(null);
  return data;
}

/** Of a private installation nothing stays on the screen. @throws {Problem} when the server is not reached; the session then stays */
export async function signOut() {
  await request('DELETE', PATH);
  await sessionEnded();
  channel?.postMessage(null);
  if (!current?.private) return;
  save(storage, SIGN_OUTS, (stored(storage, SIGN_OUTS) ?? 0) + 1);
  clearPage();
}

/** Hides what was read at once, until the page is loaded anew. */
function clearPage() {
  document.title = 'Evenpull';
  document.body.hidden = true;
  location.reload();
}

/** Whether Back loaded the page: a browser may then take answers out of its own cache without asking the server. */
function cameBack() {
  const [navigation] = performance.getEntriesByType('navigation');
  return navigation instanceof PerformanceNavigationTiming && navigation.type === 'back_forward';
}

/** A page from before a sign-out: of another tab, or one that Back brings back as it was left. */
function clearAfterSignOut() {
  if (stored(storage, SIGN_OUTS) !== signOutsAtStart) clearPage();
}

/** The server no longer knows this session. */
export function sessionEnded() {
  changes++;
  return setSession({ signed_in: false, private: current?.private ?? false });
}

/** @param {Session} now */
async function setSession(now) {
  if (!current && now.private && !now.signed_in && cameBack()) clearPage();
  current = now;
  pending = Promise.resolve(now);
  save(storage, CREW, isOfCrew(now) || undefined);
  if (now.private && !now.signed_in) await deleteOfflineCopies();
  // Whoever has the device next sees nothing of the crew's, not even without signal.
  else if (!isOfCrew(now)) navigator.serviceWorker?.controller?.postMessage({ deleteCrew: true });
  document.dispatchEvent(new CustomEvent('evenpull:session', { detail: now }));
}

/** Nothing of a private installation stays on the device after a sign-out. */
async function deleteOfflineCopies() {
  navigator.serviceWorker?.controller?.postMessage({ deleteAll: true });
  if ('caches' in window) await caches.delete(ANSWER_CACHE);
}

// Another tab has signed in or out.
channel?.addEventListener('message', () => { refreshSession(); });
addEventListener('storage', clearAfterSignOut);
for (const [target, type] of /** @type {[EventTarget, string][]} */ ([[window, 'pageshow'], [document, 'visibilitychange']])) {
  target.addEventListener(type, () => {
    clearAfterSignOut();
    if (document.visibilityState === 'visible' && current?.private && current.signed_in) refreshSession(); // it may have ended elsewhere
  });
}
