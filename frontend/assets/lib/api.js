// @ts-check
// The client of the API: sends requests, returns data or throws a Problem. It knows no resources.

import { sentence } from './text.js';

/**
 * A fault in a field; `row` is the row of an upload. One with a code is a question, which the parameter of that name answers.
 * @typedef {{at: string, row?: number, code?: 'unlikely'|'repeated'|'already-sent', detail: string}} Fault
 */

const PROGRESS_AFTER_MS = 300;

/** An error with text for people. Status 0 means that the server was not reached. */
export class Problem extends Error {
  /** How the server understands an upload that does not fit. @type {any} */
  upload;
  /** The codes of all faults. @type {string[]} */
  codes = [];

  /**
   * @param {number} status
   * @param {string} title
   * @param {string} detail
   * @param {Fault[]} [faults]
   * @param {number} [total]  number of faults when the list was cut
   */
  constructor(status, title, detail, faults = [], total = faults.length) {
    super(detail || title);
    this.status = status;
    this.title = title;
    this.faults = faults;
    this.total = total;
  }

  /** The question of an unlikely reading, when nothing else is wrong with it; else empty. */
  get question() {
    return this.faults.every(({ code }) => code === 'unlikely') ? this.faults.map(({ detail }) => detail).join(' ') : '';
  }

  /** Whether a repeat may succeed. */
  get isTemporary() {
    return this.status === 0 || this.status === 429 || this.status >= 500;
  }
}

/** An error as one text. @param {unknown} error */
export function messageOf(error) {
  if (error instanceof Problem) return [error.message, ...error.faults.map(({ detail }) => detail)].join(' ');
  return error instanceof Error ? error.message : String(error);
}

/**
 * @typedef {object} Options
 * @property {Record<string, string|number|boolean|string[]|undefined>} [query]
 * @property {unknown} [body]             sent as JSON
 * @property {string} [json]              JSON text, sent as it is
 * @property {string|Blob} [csv]          sent as CSV
 * @property {string} [ifMatch]
 * @property {string} [idempotencyKey]
 * @property {AbortSignal} [signal]
 * @property {boolean} [text]             the answer as it came, though it is JSON
 */

/** @type {(() => Promise<boolean>)|undefined} */
let askToRead;

/**
 * Sets what to do when a read is refused because nobody is signed in.
 * @param {() => Promise<boolean>} ask  resolves to whether to repeat the read
 */
export function onReadRefused(ask) {
  askToRead = ask;
}

/**
 * @template T
 * @param {string} method
 * @param {string} path
 * @param {Options} [options]
 * @returns {Promise<{data: T, etag: string, at: Date}>}  of when the answer is: an offline copy of when it was stored
 * @throws {Problem}
 */
export async function request(method, path, options = {}) {
  try {
    return await requestOnce(method, path, options);
  } catch (error) {
    const refused = method === 'GET' && error instanceof Problem && error.status === 401;
    if (!refused || !askToRead || !await askToRead()) throw error;
    options.signal?.throwIfAborted(); // no longer needed
    return requestOnce(method, path, options);
  }
}

/**
 * @template T
 * @param {string} method
 * @param {string} path
 * @param {Options} options
 * @returns {Promise<{data: T, etag: string, at: Date}>}
 */
async function requestOnce(method, path, options) {
  const finished = progress();
  try {
    const response = await fetch(address(path, options.query), {
      method,
      headers: headers(options),
      body: options.csv ?? options.json ?? (options.body === undefined ? undefined : JSON.stringify(options.body)),
      signal: options.signal,
    });
    if (!response.ok) throw await problemFrom(response);
    const stored = storedAt(response);
    if (method === 'GET') reportStored(path, response, stored);
    const data = await (options.text ? response.text() : bodyOf(response));
    return { data, etag: response.headers.get('ETag') ?? '', at: stored ?? new Date() };
  } catch (error) {
    if (error instanceof Problem || (error instanceof DOMException && error.name === 'AbortError')) throw error;
    throw new Problem(0, 'No connection', 'The server could not be reached. Nothing you typed is lost: try again when there is signal.');
  } finally {
    finished();
  }
}

/**
 * @template T
 * @param {string} path
 * @param {Options} [options]
 * @returns {Promise<T>}
 */
export async function get(path, options) {
  const { data } = await request('GET', path, options);
  return /** @type {T} */ (data);
}

/**
 * For requests that follow each other: the result of the last one counts, and one that fails changes nothing. Pages convert
 * numbers themselves when the units change; their sentences are requested again.
 */
export function onlyLatest() {
  let last = 0;
  return /** @template T @param {Promise<T>} result @param {(result: T) => void} put */ async (result, put) => {
    last++;
    const own = last;
    const got = await result.catch(() => undefined);
    if (got !== undefined && own === last) put(got);
  };
}

/**
 * All items of a list.
 * @template T
 * @param {string} path
 * @returns {Promise<T[]>}
 */
export async function getAll(path) {
  /** @type {T[]} */
  const items = [];
  /** @type {string|undefined} */
  let after;
  do {
    /** @type {{items: T[], next: string|null}} */
    const page = await get(path, { query: { limit: 500, after } });
    items.push(...page.items);
    after = page.next ?? undefined;
  } while (after);
  return items;
}

/** @param {string} path @param {Options['query']} [query] */
export function address(path, query = {}) {
  const parameters = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) {
    if (Array.isArray(value)) value.forEach((each) => parameters.append(name, each));
    else if (value !== undefined) parameters.set(name, String(value));
  }
  const text = parameters.toString();
  return text ? `${path}?${text}` : path;
}

/** When an offline copy was stored; null for an answer of the server. @param {Response} response */
function storedAt(response) {
  const at = response.headers.get('Evenpull-Stored-At');
  return at === null ? null : new Date(at);
}

/**
 * Reports whether an answer came from the server or is an offline copy.
 * @param {string} path
 * @param {Response} response
 * @param {Date|null} at
 */
function reportStored(path, response, at) {
  const units = response.headers.get('Evenpull-Stored-Units');
  document.dispatchEvent(new CustomEvent('evenpull:answered', { detail: { path, at, units } }));
}

/** @param {Options} options */
function headers(options) {
  const result = new Headers();
  if (options.csv !== undefined) result.set('Content-Type', 'text/csv');
  else if (options.json !== undefined || options.body !== undefined) result.set('Content-Type', 'application/json');
  if (options.ifMatch) result.set('If-Match', options.ifMatch);
  if (options.idempotencyKey) result.set('Idempotency-Key', options.idempotencyKey);
  return result;
}

/** @param {Response} response */
async function bodyOf(response) {
  if (response.status === 204) return undefined;
  return (response.headers.get('Content-Type') ?? '').includes('json') ? response.json() : response.text();
}

/** @param {Response} response */
export async function problemFrom(response) {
  try {
    const document = await response.json();
    /** @type {Fault[]} */
    const faults = Array.isArray(document.errors) ? document.errors : [];
    for (const fault of faults) fault.detail = sentence(fault.detail);
    const problem = new Problem(response.status, document.title ?? '', sentence(document.detail ?? ''), faults, document.faults_total);
    problem.upload = document.upload;
    problem.codes = document.codes ?? [];
    return problem;
  } catch {
    return new Problem(response.status, 'Unexpected answer', `The server answered ${response.status} without saying why. Try again.`);
  }
}

let pending = 0;

/** Reports a request as busy once it takes long enough to notice. */
function progress() {
  let shown = false;
  const timer = setTimeout(() => {
    shown = true;
    pending++;
    reportBusy();
  }, PROGRESS_AFTER_MS);
  return () => {
    clearTimeout(timer);
    if (!shown) return;
    pending--;
    reportBusy();
  };
}

function reportBusy() {
  document.dispatchEvent(new CustomEvent('evenpull:busy', { detail: pending > 0 }));
}

/** Idempotency-Key of a form: the same for repeats of the same content, a new one after success. */
export class Sending {
  #key = '';
  #what = '';

  /** @param {string} what  the content sent */
  keyFor(what) {
    if (!this.#key || this.#what !== what) {
      this.#key = randomKey();
      this.#what = what;
    }
    return this.#key;
  }

  /** The send has succeeded: the next one gets a new key, even with the same content. */
  finished() {
    this.#key = '';
  }
}

/** A random unique key. */
export function randomKey() {
  // randomUUID needs HTTPS or localhost; which may be missing beside the track.
  if (typeof crypto.randomUUID === 'function') return crypto.randomUUID();
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, '0')).join('');
}
