// @ts-check
// What waits to be sent, kept in IndexedDB so that it outlives the tab. Where a browser has none (some private
// windows), it is kept in memory and the page says so.

/** @import { Fault } from '../lib/api.js' */

const DATABASE = 'evenpull';
const WAITING = 'outbox';

/**
 * One thing to send, as it is kept.
 * @typedef {object} Kept
 * @property {number} [order]      given by the store; what is older goes first
 * @property {string} key          its Idempotency-Key, the same over all retries
 * @property {string} path
 * @property {string} body         the exact text: a repeat must be the same to the byte
 * @property {string} label        what it is, for people
 * @property {number} queuedAt     milliseconds since 1970
 * @property {'waiting'|'refused'} status
 * @property {KeptProblem|null} problem  why it was refused, or why it still waits
 */

/** @typedef {{status: number, title: string, detail: string, faults: Fault[]}} KeptProblem */

/** Whether what is kept here outlives the tab. Known once the store was used. */
export let outlivesTheTab = true;

/** @type {Map<number, Kept>} */
const inMemory = new Map();
let lastInMemory = 0;

/** @type {Promise<IDBDatabase|null>|undefined} */
let opened;

function database() {
  opened ??= new Promise((resolve) => {
    const none = () => {
      outlivesTheTab = false;
      resolve(null);
    };
    try {
      const asked = indexedDB.open(DATABASE, 1);
      asked.onupgradeneeded = () => { asked.result.createObjectStore(WAITING, { keyPath: 'order', autoIncrement: true }); };
      asked.onsuccess = () => {
        // Another tab with a newer page may want to change the store: this one must not hold it up.
        asked.result.onversionchange = () => {
          asked.result.close();
          opened = undefined;
        };
        resolve(asked.result);
      };
      asked.onerror = none;
    } catch {
      none();
    }
  });
  return opened;
}

/**
 * Runs one request in a transaction of its own, and answers once it is on the disk.
 * @template T
 * @param {IDBTransactionMode} mode
 * @param {(kept: IDBObjectStore) => IDBRequest<T>} ask
 * @param {() => T} without  the same in memory
 * @returns {Promise<T>}
 */
async function run(mode, ask, without) {
  const db = await database();
  if (!db) return without();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(WAITING, mode, { durability: 'strict' });
    const asked = ask(transaction.objectStore(WAITING));
    transaction.oncomplete = () => resolve(asked.result);
    transaction.onabort = () => reject(transaction.error ?? new Error('this browser could not store it'));
  });
}

/**
 * @param {Kept} thing
 * @returns {Promise<number>} its order
 */
export async function add(thing) {
  const order = await run('readwrite', (kept) => kept.add(thing), () => {
    inMemory.set(++lastInMemory, { ...thing, order: lastInMemory });
    return lastInMemory;
  });
  return Number(order);
}

/**
 * Changes one that is still there; one that is gone stays gone.
 * @param {number} order
 * @param {Pick<Kept, 'status'|'problem'>} now
 */
export async function change(order, now) {
  const kept = await one(order);
  if (!kept) return;
  const changed = { ...kept, ...now };
  await run('readwrite', (store) => store.put(changed), () => {
    inMemory.set(order, changed);
    return order;
  });
}

/** @param {number} order */
export function one(order) {
  return run('readonly', (kept) => /** @type {IDBRequest<Kept|undefined>} */ (kept.get(order)), () => inMemory.get(order));
}

/** Everything kept, oldest first. @returns {Promise<(Kept & {order: number})[]>} */
export async function all() {
  const kept = await run('readonly', (store) => /** @type {IDBRequest<Kept[]>} */ (store.getAll()), () => [...inMemory.values()]);
  return /** @type {(Kept & {order: number})[]} */ (kept);
}

/** @param {number} order */
export async function drop(order) {
  await run('readwrite', (kept) => /** @type {IDBRequest<any>} */ (kept.delete(order)), () => inMemory.delete(order));
}
