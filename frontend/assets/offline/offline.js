// @ts-check
// Registers the service worker, and shows a notice when answers on the page are offline copies.

import { dateTimeWords, isToday, timeWords } from '../lib/dates.js';
import { el } from '../lib/dom.js';

// The crew needs all of them beside the track; a puller needs one.
const CREW_PAGES = [
  '/', '/shows', '/sheet', '/fence', '/pullers', '/season', '/fleet', '/lever', '/note', '/inspection', '/parts', '/what-if', '/weights',
  '/alike', '/admin', '/docs', '/help', '/measuring', '/weighing', '/worked-out',
];

/** The offline copies on this page by path: when they were stored, and their units if not those of the page. @type {Map<string, Stored>} */
const stored = new Map();

/** @typedef {{at: Date, units: string|null}} Stored */

/** Starts both. Where a service worker is unavailable, pages with a place for it say so. */
export function startOffline() {
  document.addEventListener('evenpull:answered', (event) => {
    const { path, at, units } = /** @type {CustomEvent<{path: string, at: Date|null, units: string|null}>} */ (event).detail;
    if (at) stored.set(path, { at, units });
    else stored.delete(path);
    showNotice();
  });
  addEventListener('online', showNotice);
  addEventListener('offline', showNotice);
  if (!window.isSecureContext || !('serviceWorker' in navigator)) {
    showUnavailable();
    return;
  }
  // After the page has loaded.
  if (document.readyState === 'complete') register();
  else addEventListener('load', register);
}

async function register() {
  try {
    await navigator.serviceWorker.register('/sw.js');
    const { active } = await navigator.serviceWorker.ready;
    const loaded = performance.getEntriesByType('resource').filter(cameFromServer).map(({ name }) => new URL(name).pathname);
    active?.postMessage({ pages: location.pathname === '/pullers' ? ['/pullers'] : CREW_PAGES, loaded });
    // Requests before the worker controlled this page bypassed it.
    new PerformanceObserver((list) => {
      const answers = list.getEntries().filter(missedByWorker).map(({ name }) => name);
      if (answers.length > 0) active?.postMessage({ answers });
    }).observe({ type: 'resource', buffered: true });
  } catch {
    showUnavailable(); // disabled in this browser
  }
}

/** Whether the server sent it, or said that it has not changed. @param {PerformanceEntry} entry */
function cameFromServer(entry) {
  return entry instanceof PerformanceResourceTiming && entry.workerStart === 0 && entry.transferSize > 0;
}

/** @param {PerformanceEntry} entry */
function missedByWorker(entry) {
  return entry instanceof PerformanceResourceTiming && entry.workerStart === 0 && new URL(entry.name).pathname.startsWith('/v1/');
}

function showUnavailable() {
  for (const place of document.querySelectorAll('[data-offline-note]')) {
    place.textContent = window.isSecureContext
      ? 'This browser does not keep the page: without signal it cannot be opened.'
      : 'This page is not served over HTTPS, so it cannot be kept: without signal it cannot be opened.';
    place.toggleAttribute('hidden', false);
  }
}

/** "As of 2:05 PM, no signal: this was stored in feet." */
function showNotice() {
  let notice = document.getElementById('offline-notice');
  if (stored.size === 0) {
    notice?.remove();
    return;
  }
  if (!notice) {
    notice = el('p', { id: 'offline-notice', class: 'notice offline', role: 'status' });
    (document.getElementById('offline-place') ?? document.querySelector('main'))?.before(notice);
  }
  const copies = [...stored.values()];
  const oldest = new Date(Math.min(...copies.map(({ at }) => Number(at))));
  const units = copies.find((copy) => copy.units)?.units;
  const when = isToday(oldest) ? timeWords(oldest) : dateTimeWords(oldest);
  const why = navigator.onLine ? 'the server is not reached' : 'no signal';
  notice.replaceChildren(`As of ${when}, ${why}${units ? `: this was stored in ${units === 'm' ? 'meters' : 'feet'}` : ''}. `,
    el('button', { type: 'button', class: 'plain', onclick: () => location.reload() }, 'Try again'));
}
