// @ts-check
// The manager key: asked for when it is first needed, kept until the tab is closed, asked for again when the
// server does not take it.

import { Problem } from './api.js';
import { askText } from './dialogues.js';
import { byId } from './dom.js';

const KEPT = 'evenpull.key';
const EXPLAIN = 'Reading is open to everybody; a change needs the manager key. It is kept in this tab until you close it or forget it, and nowhere else.';

/** @type {string} */
let inMemory = ''; // where the browser keeps no session storage

/** The key kept in this tab; empty where there is none. */
export function keptKey() {
  try {
    return sessionStorage.getItem(KEPT) ?? inMemory;
  } catch {
    return inMemory;
  }
}

/** @param {string} key  empty forgets it */
export function keepKey(key) {
  inMemory = key;
  try {
    if (key) sessionStorage.setItem(KEPT, key);
    else sessionStorage.removeItem(KEPT);
  } catch {
    // the copy in memory serves until the page is left
  }
  showState();
}

/**
 * Asks for the key and keeps it. Empty when the person does not give one.
 * @param {string} [explain]
 */
export async function askKey(explain = EXPLAIN) {
  const given = await askText({ title: 'The manager key', explain, label: 'Key', confirm: 'Use this key', secret: true, most: 200 }) ?? '';
  if (given) keepKey(given);
  return given;
}

/** Thrown when the person does not want to give a key. Nothing was sent. */
export class NoKey extends Problem {
  constructor() {
    super(401, 'No key', 'Nothing was sent: this needs the manager key. What you typed is still here.');
  }
}

/**
 * Sends something that needs the key.
 * @template T
 * @param {(key: string) => Promise<T>} send
 * @returns {Promise<T>}
 * @throws {Problem}
 */
export async function withKey(send) {
  let explain = EXPLAIN;
  for (;;) {
    const key = keptKey() || await askKey(explain);
    if (!key) throw new NoKey();
    try {
      return await send(key);
    } catch (error) {
      if (!(error instanceof Problem) || error.status !== 401) throw error;
      keepKey('');
      explain = `${error.message} Give it again; what you typed is still here.`;
    }
  }
}

/** Shows whether a key is kept, with the way to forget it. */
export function startKey() {
  byId('key-forget', HTMLButtonElement).addEventListener('click', () => keepKey(''));
  showState();
}

/** Only the page where sleds are kept has a place for it. */
function showState() {
  const state = document.getElementById('key-state');
  if (!state) return;
  const has = keptKey() !== '';
  state.textContent = has
    ? 'A key is kept in this tab until you close it.'
    : 'None is kept. It is asked for once, when something is to be changed, and kept in this tab until you close it.';
  byId('key-forget', HTMLButtonElement).hidden = !has;
}
