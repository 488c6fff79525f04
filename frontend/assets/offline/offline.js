// @ts-check
// Without signal: starts the worker that keeps pages and answers, and says on the page when what it shows was kept.

import { dateTimeWords, isToday, timeWords } from '../lib/dates.js';
import { el } from '../lib/dom.js';

// Somebody of the crew needs all of them beside the track; a puller came for one.
const CREW_PAGES = ['/', '/shows', '/sheet', '/fence', '/pullers', '/season', '/fleet', '/note', '/parts', '/alike', '/keeping', '/docs', '/measuring', '/worked-out'];

/** When the kept answers on this page came from the server, by path. @type {Map<string, Date>} */
const storedAt = new Map();

/** Starts keeping, and the notice. Pages that cannot be kept say so where they have a place for it. */
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
  // What the page itself loads goes first.
  if (document.readyState === 'complete') register();
  else addEventListener('load', register);
}

async function register() {
  try {
    await navigator.serviceWorker.register('/sw.js');
    const { active } = await navigator.serviceWorker.ready;
    active?.postMessage({ pages: location.pathname === '/pullers' ? ['/pullers'] : CREW_PAGES });
    // What was asked before the worker served this page has passed it by.
    new PerformanceObserver((list) => {
      const answers = list.getEntries().filter(missedByWorker).map(({ name }) => name);
      if (answers.length > 0) active?.postMessage({ answers });
    }).observe({ type: 'resource', buffered: true });
  } catch {
    showUnavailable(); // switched off in this browser
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

/** "As of 14:05, no signal." */
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
  notice.replaceChildren(`As of ${isToday(oldest) ? timeWords(oldest) : dateTimeWords(oldest)}, ${navigator.onLine ? 'the server is not reached' : 'no signal'}. `,
    el('button', { type: 'button', class: 'plain', onclick: () => location.reload() }, 'Try again'));
}
