// @ts-check
// The gate of a private installation: a notice in place of the page for anybody who is not signed in. The page stays in the
// document, hidden, and so does what was typed into it; after a sign-out it goes (account/session.js).

import { refreshSession } from '../account/session.js';
import { askToSignIn } from '../account/signin.js';
import { el } from '../lib/dom.js';

/** @import { Session } from '../account/session.js' */

// They hold nothing of the fleet.
const OPEN_PAGES = ['/docs', '/help', '/measuring', '/sign-in', '/weighing', '/worked-out'];

/** @type {HTMLElement|undefined} */
let notice;
let title = '';

/** Waits until a refused read may be repeated. @returns {Promise<boolean>} false when the person does not sign in */
export async function waitForSignIn() {
  const who = await refreshSession();
  if (!who) return false;
  if (who.signed_in) return true;
  if (!who.private) return askToSignIn('You are no longer signed in: the key or its time has ended.');
  closeGate();
  return new Promise((resolve) => {
    const listen = (/** @type {Event} */ event) => {
      if (!(/** @type {CustomEvent<Session>} */ (event).detail.signed_in)) return;
      document.removeEventListener('evenpull:session', listen);
      resolve(true);
    };
    document.addEventListener('evenpull:session', listen);
  });
}

/** Shows the notice in place of the page and asks for a key. */
export function closeGate() {
  const main = document.querySelector('main');
  if (!main || notice || OPEN_PAGES.includes(location.pathname)) return;
  notice = el('section', { class: 'gate', 'aria-labelledby': 'gate-title' },
    el('h1', { id: 'gate-title' }, 'This installation is private.'),
    el('p', {}, 'Sign in to see it. The fleet manager gives out the keys.'),
    el('p', {}, el('button', { type: 'button', class: 'primary', onclick: ask }, 'Sign in')));
  title = document.title;
  document.title = 'Evenpull';
  document.body.dataset.closed = '';
  main.prepend(notice);
  ask();
}

async function ask() {
  if (await askToSignIn()) document.querySelector('main')?.focus(); // the notice that had the focus is gone
}

/** Shows the page again. */
export function openGate() {
  if (!notice) return;
  document.title = title;
  notice.remove();
  notice = undefined;
  delete document.body.dataset.closed;
}
