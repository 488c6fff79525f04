// @ts-check
// What is recorded beside the track, sent once there is signal. Everything is stored on the phone first and taken
// off only when the server has it, so that closing the tab in the middle loses nothing; its Idempotency-Key stays
// the same, so that sending it twice is the same as sending it once.

import { forbiddenWords, isForbidden } from '../account/key.js';
import { askSession, session, sessionEnded } from '../account/session.js';
import { askToSignIn } from '../account/signin.js';
import { Problem, randomKey, request } from '../lib/api.js';
import * as store from './queuestore.js';

/** @import { QueueItem, StoredProblem } from './queuestore.js' */

/**
 * What became of something that was to be sent. `id` is its place in the queue, for discard().
 * @typedef {{status: 'sent', id: string, answer: any}|{status: 'waiting', id: string}|{status: 'refused', id: string, problem: Problem}} Outcome
 */

/**
 * Something that is kept: waiting, with the trouble so far where there was some, or refused, with the reason.
 * @typedef {{id: string, label: string, status: 'waiting'|'refused', problem: Problem|null}} Waiting
 */

const RETRY_AFTER_MS = 15_000; // our own choice: soon enough beside a track, and easy on the battery
const TIMEOUT_MS = 15_000; // one bar of signal can hang for minutes; trying again is harmless
const LOCK = 'evenpull.queue';

const channel = typeof BroadcastChannel === 'function' ? new BroadcastChannel('evenpull.queue') : null;
/** @type {Set<() => void>} */
const listeners = new Set();
/** Outcomes of what was sent by this tab or another, for the send() that is still listening. @type {Map<string, Outcome>} */
const outcomes = new Map();
/** Whose send() is still listening. @type {Set<string>} */
const listening = new Set();
/** @type {Promise<void>|null} */
let flushing = null;
/** @type {ReturnType<typeof setTimeout>|undefined} */
let timer;
let needsSignIn = false;

/**
 * Sends something, or keeps it until there is signal. What the server refuses is kept too, until somebody
 * discards it or tries again; a form that shows the faults itself and keeps what was typed calls discard(id).
 * @param {{path: string, body: unknown, label: string}} item
 * @returns {Promise<Outcome>}
 */
export async function send({ path, body, label }) {
  const key = randomKey();
  const order = await stored({ key, path, body: JSON.stringify(body), label, queuedAt: Date.now(), status: 'waiting', problem: null });
  listening.add(key);
  changed();
  try {
    if (navigator.onLine) await flushWithKey();
    return await outcomeOf(key, order);
  } finally {
    listening.delete(key);
    outcomes.delete(key);
    scheduleRetry();
  }
}

/** @param {QueueItem} item */
async function stored(item) {
  try {
    return await store.add(item);
  } catch {
    throw new Problem(0, 'Not kept', 'This device has no room left to keep it. Nothing was sent: what you typed is still here.');
  }
}

/** @param {string} key @param {number} order @returns {Promise<Outcome>} */
async function outcomeOf(key, order) {
  const id = String(order);
  const item = await store.get(order);
  if (item?.status === 'waiting') return { status: 'waiting', id };
  if (item) return { status: 'refused', id, problem: problemOf(item) ?? new Problem(0, '', '') };
  // Gone from the queue: it has arrived. The answer may still be on its way from the tab that sent it.
  for (let tries = 0; tries < 20 && !outcomes.has(key); tries++) await new Promise((resolve) => setTimeout(resolve, 50));
  return outcomes.get(key) ?? { status: 'sent', id, answer: undefined };
}

/** Everything that has not arrived, oldest first. @returns {Promise<Waiting[]>} */
export async function waiting() {
  return (await store.getAll()).map((item) => ({ id: String(item.order), label: item.label, status: item.status, problem: problemOf(item) }));
}

/**
 * Calls back whenever the queue has changed, in this tab or another.
 * @param {() => void} callback
 * @returns {() => void} stops that
 */
export function onChange(callback) {
  listeners.add(callback);
  return () => listeners.delete(callback);
}

/** Whether somebody has to sign in before what waits can go. */
export function needsKey() {
  return needsSignIn;
}

/** Whether the queue outlives the tab: some private windows keep nothing. */
export function isStored() {
  return store.isPersistent;
}

/** Sends what waits, and asks somebody to sign in where the server wants to know who it is from. */
export async function flushWithKey() {
  const who = await askSession();
  setNeedsKey(who !== undefined && !who.signed_in);
  if (!needsSignIn) await flush();
  while (needsSignIn) {
    if (!await askToSignIn('What you recorded is kept here, and is sent once you have signed in.')) return;
    setNeedsKey(false);
    await flush();
  }
}

/** @param {boolean} wanted */
function setNeedsKey(wanted) {
  if (needsSignIn === wanted) return;
  needsSignIn = wanted;
  changed(false);
}

/** Sends a refused one again. @param {string} id */
export async function tryAgain(id) {
  await store.change(Number(id), { status: 'waiting', problem: null });
  changed();
  await flushWithKey();
}

/** Takes one off the queue unsent. @param {string} id */
export async function discard(id) {
  await store.remove(Number(id));
  changed();
}

/** Sends what waits, oldest first; done when it was tried once. Only one tab does it at a time. */
export function flush() {
  // What was added after a round had begun needs another one.
  const next = (flushing ?? Promise.resolve()).then(() => withLock(sendAll));
  const mine = next.catch(() => {}).finally(() => {
    if (flushing === mine) flushing = null;
    scheduleRetry();
  });
  flushing = mine;
  return mine;
}

/** @param {() => Promise<void>} work */
async function withLock(work) {
  // Web Locks need HTTPS or localhost. Without them two tabs may send the same thing: the key makes that harmless.
  if (!navigator.locks) return work();
  await navigator.locks.request(LOCK, work);
}

async function sendAll() {
  for (const item of await store.getAll()) {
    if (item.status !== 'waiting') continue;
    if (!navigator.onLine) return;
    setNeedsKey((await askSession())?.signed_in === false);
    if (needsSignIn || !await sendOne(item)) return;
  }
}

/**
 * @param {QueueItem & {order: number}} item
 * @returns {Promise<boolean>} whether the next one has a chance
 */
async function sendOne(item) {
  try {
    const signal = AbortSignal.timeout(TIMEOUT_MS);
    const { data } = await request('POST', item.path, { json: item.body, idempotencyKey: item.key, signal });
    await store.remove(item.order);
    notify(item.key, { status: 'sent', id: String(item.order), answer: data });
    return true;
  } catch (error) {
    const problem = error instanceof Problem ? error : new Problem(0, 'Not sent', String(error));
    const isTemporary = problem.status === 0 || problem.status >= 500 || problem.status === 429 || problem.status === 401;
    await store.change(item.order, { status: isTemporary ? 'waiting' : 'refused', problem: storedProblem(problem) });
    if (problem.status === 401) {
      await sessionEnded();
      setNeedsKey(true);
    }
    changed();
    // A server in trouble over one of them may still take the others; without signal or key it takes none.
    return !isTemporary || problem.status >= 500;
  }
}

/** @param {Problem} problem @returns {StoredProblem} */
function storedProblem(problem) {
  const detail = isForbidden(problem) ? `${forbiddenWords(problem)} Sign in with a key that may, then try again.` : problem.message;
  return { status: problem.status, title: problem.title, detail, faults: problem.faults };
}

/** @param {QueueItem} item */
function problemOf({ problem }) {
  return problem && new Problem(problem.status, problem.title, problem.detail, problem.faults);
}

/** @param {string} key @param {Outcome} outcome */
function notify(key, outcome) {
  if (listening.has(key)) outcomes.set(key, outcome);
  channel?.postMessage({ key, outcome });
  changed(false);
}

/** @param {boolean} [local]  tells the other tabs too */
function changed(local = true) {
  if (local) channel?.postMessage(null);
  for (const callback of listeners) callback();
}

/** Tries again in a while, as long as something waits that could go. */
async function scheduleRetry() {
  clearTimeout(timer);
  timer = undefined;
  const items = await store.getAll();
  if (timer === undefined && items.some(({ status }) => status === 'waiting')) timer = setTimeout(flush, RETRY_AFTER_MS);
}

/** Sends what an earlier visit left, and again whenever there is signal. */
function start() {
  channel?.addEventListener('message', ({ data }) => {
    if (data && listening.has(data.key)) outcomes.set(data.key, data.outcome);
    for (const callback of listeners) callback();
  });
  addEventListener('online', () => { flush(); });
  document.addEventListener('evenpull:session', () => {
    if (session()?.signed_in && needsSignIn) flush();
  });
  flush();
}

start();
