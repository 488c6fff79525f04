// @ts-check
// The queue of readings, notes and inspections that wait to be sent. An item is stored on the device before it is sent, and removed
// only after the server has stored it, so that closing the tab loses nothing. Its Idempotency-Key makes repeated sends harmless.

import { askToSignIn, forbiddenWords, isForbidden } from '../account/key.js';
import { askSession, session, sessionEnded } from '../account/session.js';
import { address, Problem, randomKey, request } from '../lib/api.js';
import * as store from './queuestore.js';

/** @import { QueueItem, StoredProblem } from './queuestore.js' */

/**
 * The outcome of a send. `id` is the item's id in the queue, for discard().
 * @typedef {Sent|{status: 'waiting', id: string}|{status: 'refused', id: string, problem: Problem}} Outcome
 * @typedef {{status: 'sent', id: string, answer: any}} Sent
 */

/**
 * An item in the queue: waiting, with the last problem if there was one, or refused.
 * @typedef {object} Waiting
 * @property {string} id
 * @property {string} path
 * @property {any} body
 * @property {string} label
 * @property {number} queuedAt  milliseconds since 1970
 * @property {'waiting'|'refused'} status
 * @property {Problem|null} problem
 */

const RETRY_AFTER_MS = 15_000; // our own choice, easy on the battery
const TIMEOUT_MS = 15_000; // one bar of signal can hang for minutes; trying again is harmless
const LOCK = 'evenpull.queue';

const channel = typeof BroadcastChannel === 'function' ? new BroadcastChannel('evenpull.queue') : null;
/** @type {Set<() => void>} */
const listeners = new Set();
/** @type {Set<(sent: Sent) => void>} */
const sentListeners = new Set();
/** Outcomes of items sent by this tab or another, by key, for a pending send(). @type {Map<string, Sent>} */
const outcomes = new Map();
/** Keys of pending send() calls. @type {Set<string>} */
const listening = new Set();
/** @type {Promise<void>|null} */
let flushing = null;
/** @type {ReturnType<typeof setTimeout>|undefined} */
let timer;
let needsSignIn = false;

/**
 * Sends an item, or queues it until there is signal. A refused item stays in the queue until it is discarded or sent again. A form
 * that shows the faults itself calls discard(id).
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
  // Not in the queue any more: it was sent. The answer may still be coming from the tab that sent it.
  for (let tries = 0; tries < 20 && !outcomes.has(key); tries++) await new Promise((resolve) => setTimeout(resolve, 50));
  return outcomes.get(key) ?? { status: 'sent', id, answer: undefined };
}

/** All items in the queue, oldest first. @returns {Promise<Waiting[]>} */
export async function waiting() {
  const items = await store.getAll();
  return items.map((item) => ({
    id: String(item.order), path: item.path, body: JSON.parse(item.body), label: item.label, queuedAt: item.queuedAt, status: item.status,
    problem: problemOf(item),
  }));
}

/** Calls back when the queue changes, in this tab or another. @param {() => void} callback @returns {() => void} stops it */
export function onChange(callback) {
  listeners.add(callback);
  return () => listeners.delete(callback);
}

/** Calls back with each item that was sent, by this tab or another. @param {(sent: Sent) => void} callback */
export function onSent(callback) {
  sentListeners.add(callback);
}

/** Whether a sign-in is needed before items can be sent. */
export function needsKey() {
  return needsSignIn;
}

/** Whether the queue is persistent: some private windows store nothing. */
export function isStored() {
  return store.isPersistent;
}

/** Sends waiting items, and asks for a sign-in when needed. */
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

/** Sends a refused item again; to keep what the server finds unlikely. @param {string} id @param {boolean} [keep] */
export async function tryAgain(id, keep = false) {
  const item = await store.get(Number(id));
  // Another question to the server needs another key.
  const kept = keep && item ? { path: address(item.path.split('?')[0], { unlikely: 'keep' }), key: randomKey() } : {};
  await store.change(Number(id), { status: 'waiting', problem: null, ...kept });
  changed();
  await flushWithKey();
}

/** Removes an item unsent. One that is on its way is sent all the same, which onSent() says. @param {string} id */
export async function discard(id) {
  await store.remove(Number(id));
  changed();
}

/** Tries to send each waiting item once, oldest first. Only one tab does it at a time. */
export function flush() {
  // Items added during a run need another run.
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
  // Web Locks need HTTPS or localhost. Without them two tabs may send the same item, which its key makes harmless.
  if (!navigator.locks) return work();
  await navigator.locks.request(LOCK, work);
}

async function sendAll() {
  for (const item of await store.getAll()) {
    if (item.status !== 'waiting') continue;
    if (!navigator.onLine) return;
    setNeedsKey((await askSession())?.signed_in === false);
    if (needsSignIn || !await sendOne(item.order)) return;
  }
}

/** @param {number} order @returns {Promise<boolean>} whether to try the next item */
async function sendOne(order) {
  const item = await store.get(order);
  if (item?.status !== 'waiting') return true; // discarded or sent meanwhile
  try {
    const signal = AbortSignal.timeout(TIMEOUT_MS);
    const { data } = await request('POST', item.path, { json: item.body, idempotencyKey: item.key, signal });
    await store.remove(order);
    notify(item.key, { status: 'sent', id: String(order), answer: data });
    return true;
  } catch (error) {
    const problem = error instanceof Problem ? error : new Problem(0, 'Not sent', String(error));
    if (problem.codes.includes('already-sent')) { // by somebody else who had this phone
      await store.remove(order);
      notify(item.key, { status: 'sent', id: String(order), answer: undefined });
      return true;
    }
    const isTemporary = problem.status === 0 || problem.status >= 500 || problem.status === 429 || problem.status === 401;
    await store.change(order, { status: isTemporary ? 'waiting' : 'refused', problem: storedProblem(problem) });
    if (problem.status === 401) {
      await sessionEnded();
      setNeedsKey(true);
    }
    changed();
    // After a server error other items may still succeed; without signal or key none will.
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

/** @param {string} key @param {Sent} outcome */
function notify(key, outcome) {
  channel?.postMessage({ key, outcome });
  wasSent(key, outcome);
}

/** @param {string} key @param {Sent} outcome */
function wasSent(key, outcome) {
  if (listening.has(key)) outcomes.set(key, outcome);
  for (const callback of sentListeners) callback(outcome);
  changed(false);
}

/** @param {boolean} [local]  whether to notify other tabs */
function changed(local = true) {
  if (local) channel?.postMessage(null);
  for (const callback of listeners) callback();
}

/** Schedules a retry while items wait. */
async function scheduleRetry() {
  clearTimeout(timer);
  timer = undefined;
  const items = await store.getAll();
  if (timer === undefined && items.some(({ status }) => status === 'waiting')) timer = setTimeout(flush, RETRY_AFTER_MS);
}

/** Sends items of an earlier visit, and again whenever there is signal. */
function start() {
  channel?.addEventListener('message', ({ data }) => {
    if (data) wasSent(data.key, data.outcome);
    else changed(false);
  });
  addEventListener('online', () => { flush(); });
  document.addEventListener('evenpull:session', () => {
    if (session()?.signed_in && needsSignIn) flush();
  });
  flush();
}

start();
