// @ts-check
// Registers the service worker, and shows a notice when answers on the page are offline copies.

import { dateTimeWords, isToday, timeWords } from '../lib/dates.js';
import { el } from '../lib/dom.js';

// The crew needs all of them beside the track; a puller needs one.
const CREW_PAGES = [
  '/', '/shows', '/sheet', '/fence', '/pullers', '/season', '/fleet', '/note', '/parts', '/alike', '/keeping', '/docs', '/measuring',
  '/worked-out',
];

/** When the offline copies on this page were stored, by path. @type {Map<string, Date>} */
const storedAt = new Map();

/** Starts both. Where a service worker is unavailable, pages with a place for it say so. */
export function startOffline() {
  document.addEventListener('evenpull:answered', (event) => {
    const { path, at } = /** @type {CustomEvent<{path: string, at: Date|null}>} */ (event).detail;
    if (at) storedAt.set(path, at);
    else storedAt.delete(path);
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
    active?.postMessage({ pages: location.pathname === '/pullers' ? ['/pullers'] : CREW_PAGES });
    // Requests before the worker controlled this page bypassed it.
    new PerformanceObserver((list) => {
      const answers = list.getEntries().filter(missedByWorker).map(({ name }) => name);
      if (answers.length > 0) active?.postMessage({ answers });
    }).observe({ type: 'resource', buffered: true });
  } catch {
    showUnavailable(); // disabled in this browser
  }
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

/** "As of 2:05 PM, no signal." */
function showNotice() {
  let notice = document.getElementById('offline-notice');
  if (storedAt.size === 0) {
    notice?.remove();
    return;
  }
  if (!notice) {
    notice = el('p', { id: 'offline-notice', class: 'notice offline', role: 'status' });
    document.querySelector('main')?.before(notice);
  }
  const oldest = new Date(Math.min(...[...storedAt.values()].map(Number)));
  const time = isToday(oldest) ? timeWords(oldest) : dateTimeWords(oldest);
  notice.replaceChildren(`As of ${time}, ${navigator.onLine ? 'the server is not reached' : 'no signal'}. `,
    el('button', { type: 'button', class: 'plain', onclick: () => location.reload() }, 'Try again'));
}
