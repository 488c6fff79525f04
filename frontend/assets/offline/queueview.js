// @ts-check
// View of the queue: waiting items, refused items and why.

import { el } from '../lib/dom.js';
import { counted } from '../lib/text.js';
import { discard, flush, flushWithKey, isStored, needsKey, onChange, tryAgain, waiting } from './queue.js';

/** @import { Waiting } from './queue.js' */

/** Shows the queue in an element and updates it. Hidden when empty. @param {HTMLElement} place */
export function mountQueue(place) {
  place.classList.add('queue');
  place.setAttribute('role', 'status');
  let version = 0;
  let shown = '';
  const show = async () => {
    const started = ++version;
    const items = await waiting();
    if (started !== version) return; // superseded by a newer update
    const now = JSON.stringify([items, items.map(({ problem }) => problem?.message), needsKey(), isStored(), navigator.onLine]);
    if (now === shown) return; // rebuilding would lose the focus
    shown = now;
    place.hidden = items.length === 0;
    place.replaceChildren(...parts(items));
  };
  onChange(show);
  addEventListener('online', show);
  addEventListener('offline', show);
  show();
}

/** @param {Waiting[]} items */
function parts(items) {
  const waitingItems = items.filter(({ status }) => status === 'waiting');
  const refused = items.filter(({ status }) => status === 'refused');
  const shown = [];
  if (waitingItems.length > 0) {
    shown.push(el('p', {}, el('strong', {}, `${counted(waitingItems.length, 'thing')} waiting to be sent. `), whyWaiting(waitingItems)));
    shown.push(el('ul', {}, ...waitingItems.map(({ label }) => el('li', {}, label))));
    if (navigator.onLine) {
      shown.push(el('p', {}, needsKey()
        ? el('button', { type: 'button', class: 'primary', onclick: () => flushWithKey() }, 'Sign in and send')
        : el('button', { type: 'button', onclick: () => flush() }, 'Send now')));
    }
  }
  if (refused.length > 0) {
    shown.push(el('p', {}, el('strong', {}, `${counted(refused.length, 'thing')} refused by the server, kept here. `),
      'Put right what is named, then try again; or discard it and enter it anew.'));
    shown.push(...refused.map(refusal));
  }
  return shown;
}

/** @param {Waiting[]} waitingItems */
function whyWaiting(waitingItems) {
  const where = isStored() ? 'It is kept on this device, even when the page is closed.'
    : 'This browser keeps nothing once the page is closed: leave it open until everything is sent.';
  if (!navigator.onLine) return `No signal. ${where}`;
  if (needsKey()) return `Somebody has to sign in first. ${where}`;
  const last = waitingItems.find(({ problem }) => problem !== null && problem.status !== 0)?.problem;
  return last ? `The server says: ${last.message} It is tried again by itself. ${where}` : `It is tried again by itself. ${where}`;
}

/** @param {Waiting} item */
function refusal({ id, label, problem }) {
  const faults = problem?.faults ?? [];
  return el('div', { class: 'refused' },
    el('p', {}, el('strong', {}, label)),
    el('p', { class: 'fault' }, problem?.message ?? ''),
    faults.length > 0 && el('ul', {}, ...faults.map(({ at, detail }) => el('li', {}, at ? `${at}: ${detail}` : detail))),
    el('p', { class: 'actions' },
      problem?.status === 403 && el('a', { class: 'button', href: '#who' }, 'Sign in with another key'),
      again(id, label, Boolean(problem?.question)),
      el('button', { type: 'button', onclick: () => confirmDiscard(id, label), 'aria-label': `Discard: ${label}` }, 'Discard')));
}

/** @param {string} id @param {string} label @param {boolean} asked */
function again(id, label, asked) {
  const text = asked ? 'Keep it' : 'Try again';
  return el('button', { type: 'button', onclick: () => tryAgain(id, asked), 'aria-label': `${text}: ${label}` }, text);
}

/** @param {string} id @param {string} label */
async function confirmDiscard(id, label) {
  const { askYes } = await import('../lib/dialogs.js'); // not needed to show the queue
  const sure = await askYes({ title: 'Discard it?', explain: `“${label}” will never be sent. This cannot be undone.`, confirm: 'Discard' });
  if (sure) await discard(id);
}
