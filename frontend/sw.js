// @ts-check
/// <reference lib="webworker" />
// Service worker: offline copies of the pages and of the last answers.
//
// The pages and their assets are stored as one set, named after the hash of their ETags, so that a page never runs with
// modules of another version. A page is served from the set at once. The set is then compared with the server, and a
// newer one is used from the next page on. The first set takes what its page has just loaded out of the browser's cache.
// Answers of the API come from the network, and from the cache only when the network fails.

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));

const PAGE_CACHE = 'evenpull-pages-';
const STATE_CACHE = 'evenpull-state';
const ANSWER_CACHE = 'evenpull-answers';
const CONTRACT = '/openapi.json'; // the API page is made of it
// The session, and what only managers may read.
const NEVER_STORED = /^\/v1\/(?:session|keys|history|(?:sleds\/[^/]+\/)?export)$/;
// What only the crew may read: it does not outlast a sign-in.
const CREW_ONLY = /^\/v1\/sleds\/[^/]+\/(?:due|inspections|inspection-list)$/;
const STORED_AT = 'Evenpull-Stored-At'; // header of an offline copy: when it was stored
const STORED_UNITS = 'Evenpull-Stored-Units'; // its units, where it was requested in others

// Our own choices: a season's sheets and questions fit, and answers older than two months are of no use.
const MAX_ANSWERS = 250;
const MAX_AGE_MS = 60 * 24 * 3600_000;
const TIMEOUT_MS = 8_000; // a weak signal can hang for minutes
const COMPARE_EVERY_MS = 10 * 60_000;
const CONCURRENCY = 4; // few, so that the page's requests come first

/**
 * The set in use. `since` is when it was last compared with the server.
 * @typedef {{current: string, previous: string, since: number, pages: string[]}} State
 */

/** The set of each client; empty when its page came from the server, and its modules then too. @type {Map<string, string>} */
const setOfClient = new Map();
/** @type {Promise<void>} */
let comparing = Promise.resolve();
/** Counts deletions of all answers, and of the crew's. A request from before a deletion is not stored after it. */
const deletions = { all: 0, crew: 0 };

worker.addEventListener('install', () => { worker.skipWaiting(); });
worker.addEventListener('activate', (event) => { event.waitUntil(worker.clients.claim()); });

worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const at = new URL(request.url);
  if (at.origin !== location.origin || request.method !== 'GET' || request.headers.has('Authorization')) return;
  if (at.pathname.startsWith('/v1/') || at.pathname === CONTRACT) {
    if (isStorable(at.pathname)) event.respondWith(answer(event));
  } else if (request.mode === 'navigate') {
    event.respondWith(page(event, at.pathname));
  } else if (at.pathname.startsWith('/assets/')) {
    event.respondWith(asset(event, at.pathname));
  }
});

// Messages from pages: pages to store and the assets that came from the server just now, requests made before this worker controlled
// the page, and deletion of all answers after a sign-out from a private installation, of the crew's after any.
worker.addEventListener('message', (event) => {
  const { pages = [], loaded = [], answers = [], deleteAll = false, deleteCrew = false } = event.data ?? {};
  event.waitUntil(Promise.all([deleteAll ? deleteAnswers() : deleteCrew ? deleteCrewAnswers() : undefined, compare(pages, loaded),
    storeAnswers(answers)]));
});

/** JSON and drawings are stored, CSV is not. @param {string} path */
function isStorable(path) {
  return (path.startsWith('/v1/') || path === CONTRACT) && !path.endsWith('.csv') && !NEVER_STORED.test(path);
}

/** @param {FetchEvent} event */
async function answer(event) {
  const { request } = event;
  const deletionsBefore = deletionsOf(request.url);
  try {
    const response = await withTimeout(fetch(request), async () => (await storedAnswer(request)) !== undefined);
    event.waitUntil(refused(request.url, response.status) ?? store(request.url, response.clone(), deletionsBefore));
    return response;
  } catch {
    return await storedAnswer(request) ?? Response.error();
  }
}

/** Deletes what this device may no longer show. @param {string} url @param {number} status */
function refused(url, status) {
  if (isCrewOnly(url)) return status === 401 || status === 403 ? deleteCrewAnswers() : undefined;
  return status === 401 ? deleteAnswers() : undefined; // the installation is private and nobody is signed in
}

/**
 * The response, or an error after a timeout if there is a copy.
 * @param {Promise<Response>} response
 * @param {() => Promise<boolean>} hasCopy
 */
function withTimeout(response, hasCopy) {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(async () => { if (await hasCopy()) reject(new Error('no answer in time')); }, TIMEOUT_MS);
    response.then(resolve, reject).finally(() => clearTimeout(timer));
  });
}

/**
 * @param {string} url
 * @param {Response} response  stored if it is 200
 * @param {number} deletionsBefore  deletionsOf() the URL at the time of the request
 */
async function store(url, response, deletionsBefore) {
  if (response.status !== 200) return;
  const headers = new Headers(response.headers);
  headers.set(STORED_AT, new Date().toISOString());
  // The body is not compressed any more.
  headers.delete('Content-Encoding');
  headers.delete('Content-Length');
  headers.delete('Vary');
  const body = await response.blob();
  if (deletionsBefore !== deletionsOf(url)) return;
  const answers = await caches.open(ANSWER_CACHE);
  await answers.delete(url); // so that the latest is last
  await answers.put(url, new Response(body, { status: 200, headers }));
  await evictOld(answers);
}

async function deleteAnswers() {
  deletions.all++;
  await caches.delete(ANSWER_CACHE);
}

async function deleteCrewAnswers() {
  deletions.crew++;
  const answers = await caches.open(ANSWER_CACHE);
  for (const request of await answers.keys()) {
    if (isCrewOnly(request.url)) await answers.delete(request);
  }
}

/** @param {string} url */
function isCrewOnly(url) {
  return CREW_ONLY.test(new URL(url).pathname);
}

/** How often an answer of this URL would have been deleted. @param {string} url */
function deletionsOf(url) {
  return deletions.all + (isCrewOnly(url) ? deletions.crew : 0);
}

/** @param {Cache} answers */
async function evictOld(answers) {
  const all = await answers.keys(); // oldest first
  for (const [place, request] of all.entries()) {
    const copy = await answers.match(request);
    const age = Date.now() - Date.parse(copy?.headers.get(STORED_AT) ?? '');
    if (all.length - place <= MAX_ANSWERS && age < MAX_AGE_MS) return;
    await answers.delete(request);
  }
}

/** The offline copy of an answer, or of the same answer in the other units. @param {Request} request */
async function storedAnswer({ url }) {
  const answers = await caches.open(ANSWER_CACHE);
  const copy = await answers.match(url);
  const units = /[?&]units=(ft|m)(?=&|$)/.exec(url)?.[1];
  if (copy || !units) return copy;
  const other = units === 'm' ? 'ft' : 'm';
  const inOther = await answers.match(url.replace(`units=${units}`, `units=${other}`));
  if (!inOther) return undefined;
  const headers = new Headers(inOther.headers);
  headers.set(STORED_UNITS, other);
  return new Response(inOther.body, { status: 200, headers });
}

/** @param {string[]} urls  requests made before this worker controlled the page */
async function storeAnswers(urls) {
  for (const url of urls) {
    const at = new URL(url, location.origin);
    if (at.origin !== location.origin || !isStorable(at.pathname)) continue;
    const deletionsBefore = deletionsOf(at.href);
    // The browser has it in its cache, so this only revalidates.
    await fetch(at).then((response) => store(at.href, response, deletionsBefore)).catch(() => {});
  }
}

/** @param {FetchEvent} event @param {string} path */
async function page(event, path) {
  const { current } = await state();
  const copy = current ? await (await caches.open(current)).match(path) : undefined;
  if (event.resultingClientId) setOfClient.set(event.resultingClientId, copy ? current : '');
  event.waitUntil(compare([], []));
  if (copy) return copy;
  try {
    return await fetch(event.request);
  } catch {
    return new Response('No signal, and this page has not been opened on this device before. Go back, or try again when there is signal.',
      { status: 503, headers: { 'Content-Type': 'text/plain; charset=utf-8' } });
  }
}

/** @param {FetchEvent} event @param {string} path */
async function asset(event, path) {
  const set = setOfClient.get(event.clientId) ?? (await state()).current;
  const copy = set ? await (await caches.open(set)).match(path) : undefined;
  return copy ?? fetch(event.request).catch(() => Response.error());
}

/** @returns {Promise<State>} */
async function state() {
  const copy = await (await caches.open(STATE_CACHE)).match('/state');
  return copy ? copy.json() : { current: '', previous: '', since: 0, pages: [] };
}

/** @param {State} now */
async function saveState(now) {
  await (await caches.open(STATE_CACHE)).put('/state', new Response(JSON.stringify(now)));
}

/**
 * Compares the set with the server at intervals, and when pages are added. One comparison at a time.
 * @param {string[]} added  pages to add
 * @param {string[]} loaded  the paths of assets that came from the server just now
 */
function compare(added, loaded) {
  comparing = comparing.then(() => compareNow(added, loaded)).catch(() => {}); // no signal: try next time
  return comparing;
}

/** @param {string[]} added @param {string[]} loaded */
async function compareNow(added, loaded) {
  const was = await state();
  const pages = [...new Set([...was.pages, ...added])];
  const hasGrown = pages.length > was.pages.length;
  if (pages.length === 0 || (!hasGrown && Date.now() - was.since < COMPARE_EVERY_MS)) return;
  const files = await readAll(pages, was.current ? [] : loaded);
  const current = PAGE_CACHE + await hashOf(files);
  if (current !== was.current) {
    const set = await caches.open(current);
    for (const [path, response] of files) await set.put(path, forEveryAddress(response));
  }
  await saveState({ current, previous: current === was.current ? was.previous : was.current, since: Date.now(), pages });
  for (const name of await caches.keys()) {
    if (name.startsWith(PAGE_CACHE) && name !== current && name !== was.current && name !== was.previous) await caches.delete(name);
  }
}

/** A copy of a page serves every address of it: it does not ask ahead for what one of them needs. @param {Response} response */
function forEveryAddress(response) {
  const headers = new Headers(response.headers);
  for (const name of ['Link', 'Content-Encoding', 'Content-Length']) headers.delete(name); // the body is not compressed any more
  return new Response(response.body, { headers });
}

/**
 * The pages and their assets, by path. There is no build step that lists them: they are found in the files.
 * @param {string[]} pages
 * @param {string[]} loaded  assets that need not be compared with the server
 * @returns {Promise<Map<string, Response>>}
 * @throws {Error} when one of them cannot be read
 */
async function readAll(pages, loaded) {
  /** @type {Map<string, Response>} */
  const files = new Map();
  const seen = new Set(pages);
  const open = [...pages];
  const next = async () => {
    for (let path = open.shift(); path; path = open.shift()) {
      const response = await fetch(path, { cache: loaded.includes(path) ? 'force-cache' : 'no-cache' }); // the latter by ETag
      if (response.status === 404 && pages.includes(path)) continue;
      if (response.status !== 200) throw new Error(`${path}: ${response.status}`);
      files.set(path, response.clone());
      for (const needed of assetsIn(path, response.headers.get('Content-Type') ?? '', await response.text())) {
        if (!seen.has(needed)) open.push(needed);
        seen.add(needed);
      }
    }
  };
  // A worker may finish before another finds more.
  while (open.length > 0) await Promise.all(Array.from({ length: CONCURRENCY }, next));
  return files;
}

/**
 * The assets that a file refers to: links and scripts of a page, imports of a module, images of a style sheet.
 * @param {string} path
 * @param {string} type
 * @param {string} text
 */
function assetsIn(path, type, text) {
  const pattern = type.includes('html') ? /\b(?:src|href)="(\/assets\/[^"#?]+)/g
    : type.includes('javascript') ? /\b(?:from|import)\s*\(?\s*'(\.{1,2}\/[^']+|\/assets\/[^']+)'/g
      : type.includes('css') ? /url\(["']?([^"')]+)/g : null;
  if (!pattern) return [];
  const code = type.includes('javascript') ? text.replace(/\/\*[^]*?\*\/|^\s*\/\/.*$/gm, '') : text; // types alone are not loaded
  return [...code.matchAll(pattern)].map(([, name]) => new URL(name, new URL(path, location.origin)))
    .filter((at) => at.origin === location.origin && at.pathname.startsWith('/assets/')).map((at) => at.pathname);
}

/** A hash of the content. @param {Map<string, Response>} files */
async function hashOf(files) {
  const list = [...files].map(([path, response]) => `${path} ${response.headers.get('ETag')}`).sort().join('\n');
  const hash = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(list));
  return [...new Uint8Array(hash)].slice(0, 8).map((byte) => byte.toString(16).padStart(2, '0')).join('');
}
