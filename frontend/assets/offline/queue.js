// @ts-check
// What is recorded beside the track, sent once there is signal. Everything is stored on the phone first and taken
// off only when the server has it, so that closing the tab in the middle loses nothing; its Idempotency-Key stays
// the same, so that sending it twice is the same as sending it once.

import { isLacking, lackingWords } from '../account/key.js';
import { askSession, session, sessionEnded } from '../account/session.js';
import { askToSignIn } from '../account/signin.js';
import { Problem, randomKey, request } from '../lib/api.js';
import * as store from './queuestore.js';

/** @import { Kept, KeptProblem } from './queuestore.js' */

/**
 * What became of something that was to be sent. `id` is its place in the queue, for discard().
 * @typedef {{status: 'sent', id: string, answer: any}|{status: 'waiting', id: string}|{status: 'refused', id: string, problem: Problem}} Outcome
 */

/**
 * Something that is kept: waiting, with the trouble so far where there was some, or refused, with the reason.
 * @typedef {{id: string, label: string, status: 'waiting'|'refused', problem: Problem|null}} Waiting
 */

const RETRY_AFTER_MS = 15_000; // our own choice: soon enough beside a track, and easy on the battery
const GIVE_UP_AFTER_MS = 15_000; // one bar of signal can hang for minutes; trying again is harmless
const LOCK = 'evenpull.queue';

const news = typeof BroadcastChannel === 'function' ? new BroadcastChannel('evenpull.queue') : null;
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
let wantsKey = false;

/**
 * Sends something, or keeps it until there is signal. What the server refuses is kept too, until somebody
 * discards it or tries again; a form that shows the faults itself and keeps what was typed calls discard(id).
 * @param {{path: string, body: unknown, label: string}} thing
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
    plan();
  }
}

/** @param {Kept} thing */
async function stored(thing) {
  try {
    return await store.add(thing);
  } catch {
    throw new Problem(0, 'Not kept', 'This device has no room left to keep it. Nothing was sent: what you typed is still here.');
  }
}

/** @param {string} key @param {number} order @returns {Promise<Outcome>} */
async function outcomeOf(key, order) {
  const id = String(order);
  const kept = await store.one(order);
  if (kept?.status === 'waiting') return { status: 'waiting', id };
  if (kept) return { status: 'refused', id, problem: problemOf(kept) ?? new Problem(0, '', '') };
  // Gone from the queue: it has arrived. The answer may still be on its way from the tab that sent it.
  for (let tries = 0; tries < 20 && !outcomes.has(key); tries++) await new Promise((resolve) => setTimeout(resolve, 50));
  return outcomes.get(key) ?? { status: 'sent', id, answer: undefined };
}

/** Everything that has not arrived, oldest first. @returns {Promise<Waiting[]>} */
export async function waiting() {
  return (await store.all()).map((kept) => ({ id: String(kept.order), label: kept.label, status: kept.status, problem: problemOf(kept) }));
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
  return wantsKey;
}

/** Whether the queue outlives the tab: some private windows keep nothing. */
export function isKept() {
  return store.outlivesTheTab;
}

/** Sends what waits, and asks somebody to sign in where the server wants to know who it is from. */
export async function flushWithKey() {
  const who = await askSession();
  needKey(who !== undefined && !who.signed_in);
  if (!wantsKey) await flush();
  while (wantsKey) {
    if (!await askToSignIn('What you recorded is kept here, and is sent once you have signed in.')) return;
    needKey(false);
    await flush();
  }
}

/** @param {boolean} wanted */
function needKey(wanted) {
  if (wantsKey === wanted) return;
  wantsKey = wanted;
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
  await store.drop(Number(id));
  changed();
}

/** Sends what waits, oldest first; done when it was tried once. Only one tab does it at a time. */
export function flush() {
  // What was added after a round had begun needs another one.
  const next = (flushing ?? Promise.resolve()).then(() => alone(sendAll));
  const mine = next.catch(() => {}).finally(() => {
    if (flushing === mine) flushing = null;
    plan();
  });
  flushing = mine;
  return mine;
}

/** @param {() => Promise<void>} work */
async function alone(work) {
  // Web Locks need HTTPS or localhost. Without them two tabs may send the same thing: the key makes that harmless.
  if (!navigator.locks) return work();
  await navigator.locks.request(LOCK, work);
}

async function sendAll() {
  for (const kept of await store.all()) {
    if (kept.status !== 'waiting') continue;
    if (!navigator.onLine) return;
    needKey((await askSession())?.signed_in === false);
    if (wantsKey || !await sendOne(kept)) return;
  }
}

/**
 * @param {Kept & {order: number}} kept
 * @returns {Promise<boolean>} whether the next one has a chance
 */
async function sendOne(kept) {
  try {
    const signal = AbortSignal.timeout(GIVE_UP_AFTER_MS);
    const { data } = await request('POST', kept.path, { json: kept.body, idempotencyKey: kept.key, signal });
    await store.drop(kept.order);
    tell(kept.key, { status: 'sent', id: String(kept.order), answer: data });
    return true;
  } catch (error) {
    const problem = error instanceof Problem ? error : new Problem(0, 'Not sent', String(error));
    const waits = problem.status === 0 || problem.status >= 500 || problem.status === 429 || problem.status === 401;
    await store.change(kept.order, { status: waits ? 'waiting' : 'refused', problem: keptProblem(problem) });
    if (problem.status === 401) {
      await sessionEnded();
      needKey(true);
    }
    changed();
    // A server in trouble over one of them may still take the others; without signal or key it takes none.
    return !waits || problem.status >= 500;
  }
}

/** @param {Problem} problem @returns {KeptProblem} */
function keptProblem(problem) {
  const detail = isLacking(problem) ? `${lackingWords(problem)} Sign in with a key that may, then try again.` : problem.message;
  return { status: problem.status, title: problem.title, detail, faults: problem.faults };
}

/** @param {Kept} kept */
function problemOf({ problem }) {
  return problem && new Problem(problem.status, problem.title, problem.detail, problem.faults);
}

/** @param {string} key @param {Outcome} outcome */
function tell(key, outcome) {
  if (listening.has(key)) outcomes.set(key, outcome);
  news?.postMessage({ key, outcome });
  changed(false);
}

/** @param {boolean} [here]  tells the other tabs too */
function changed(here = true) {
  if (here) news?.postMessage(null);
  for (const callback of listeners) callback();
}

/** Tries again in a while, as long as something waits that could go. */
async function plan() {
  clearTimeout(timer);
  timer = undefined;
  const left = await store.all();
  if (timer === undefined && left.some(({ status }) => status === 'waiting')) timer = setTimeout(flush, RETRY_AFTER_MS);
}

/** Sends what an earlier visit left, and again whenever there is signal. */
function start() {
  news?.addEventListener('message', ({ data }) => {
    if (data && listening.has(data.key)) outcomes.set(data.key, data.outcome);
    for (const callback of listeners) callback();
  });
  addEventListener('online', () => { flush(); });
  document.addEventListener('evenpull:session', () => {
    if (session()?.signed_in && wantsKey) flush();
  });
  flush();
}

start();
