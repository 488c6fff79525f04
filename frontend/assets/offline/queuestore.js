// @ts-check
// Storage of the queue in IndexedDB. Where a browser has none (some private windows), it is in memory and the page says so.

/** @import { Fault } from '../lib/api.js' */

const DATABASE = 'evenpull';
const STORE = 'outbox';

/**
 * An item as stored.
 * @typedef {object} QueueItem
 * @property {number} [order]      set by the store; the oldest is sent first
 * @property {string} key          its Idempotency-Key, the same for all retries
 * @property {string} path
 * @property {string} body         JSON text: a repeat must be identical
 * @property {string} label        for people
 * @property {number} queuedAt     milliseconds since 1970
 * @property {'waiting'|'refused'} status
 * @property {StoredProblem|null} problem  of the refusal or the last try
 */

/** @typedef {{status: number, title: string, detail: string, faults: Fault[]}} StoredProblem */

/** Whether the storage is persistent. Known after the first use. */
export let isPersistent = true;

/** @type {Map<number, QueueItem>} */
const memory = new Map();
let lastOrder = 0;

/** @type {Promise<IDBDatabase|null>|undefined} */
let opening;

function database() {
  opening ??= new Promise((resolve) => {
    const useMemory = () => {
      isPersistent = false;
      resolve(null);
    };
    try {
      const request = indexedDB.open(DATABASE, 1);
      request.onupgradeneeded = () => { request.result.createObjectStore(STORE, { keyPath: 'order', autoIncrement: true }); };
      request.onsuccess = () => {
        // Must not block an upgrade by a newer page in another tab.
        request.result.onversionchange = () => {
          request.result.close();
          opening = undefined;
        };
        resolve(request.result);
      };
      request.onerror = useMemory;
    } catch {
      useMemory();
    }
  });
  return opening;
}

/**
 * Runs one request in its own transaction. Resolves when it is on disk.
 * @template T
 * @param {IDBTransactionMode} mode
 * @param {(store: IDBObjectStore) => IDBRequest<T>} operation
 * @param {() => T} fallback  the same in memory
 * @returns {Promise<T>}
 */
async function run(mode, operation, fallback) {
  const db = await database();
  if (!db) return fallback();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(STORE, mode, { durability: 'strict' });
    const request = operation(transaction.objectStore(STORE));
    transaction.oncomplete = () => resolve(request.result);
    transaction.onabort = () => reject(transaction.error ?? new Error('this browser could not store it'));
  });
}

/** @param {QueueItem} item @returns {Promise<number>} its order */
export async function add(item) {
  const order = await run('readwrite', (store) => store.add(item), () => {
    memory.set(++lastOrder, { ...item, order: lastOrder });
    return lastOrder;
  });
  return Number(order);
}

/** Changes an item if it still exists. @param {number} order @param {Pick<QueueItem, 'status'|'problem'>} now */
export async function change(order, now) {
  // One transaction: what is removed meanwhile must not come back.
  await run('readwrite', (store) => {
    const found = /** @type {IDBRequest<QueueItem|undefined>} */ (store.get(order));
    found.onsuccess = () => { if (found.result) store.put({ ...found.result, ...now }); };
    return found;
  }, () => {
    const item = memory.get(order);
    if (item) memory.set(order, { ...item, ...now });
    return item;
  });
}

/** @param {number} order */
export function get(order) {
  return run('readonly', (store) => /** @type {IDBRequest<QueueItem|undefined>} */ (store.get(order)), () => memory.get(order));
}

/** All items, oldest first. @returns {Promise<(QueueItem & {order: number})[]>} */
export async function getAll() {
  const items = await run('readonly', (store) => /** @type {IDBRequest<QueueItem[]>} */ (store.getAll()), () => [...memory.values()]);
  return /** @type {(QueueItem & {order: number})[]} */ (items);
}

/** @param {number} order */
export async function remove(order) {
  await run('readwrite', (store) => /** @type {IDBRequest<any>} */ (store.delete(order)), () => memory.delete(order));
}
