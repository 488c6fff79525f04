// @ts-check
// Who is signed in, at the foot of every page, with the ways in and out. Says on the document what the role is, so that
// forms it may not use give way to the reason (forms.css).

import { askSession, session, signOut } from '../account/session.js';
import { messageOf } from '../lib/api.js';
import { el } from '../lib/dom.js';

/** @import { Session } from '../account/session.js' */

/** Shows who is signed in, and asks for a key where somebody wants to sign in. */
export function startWho() {
  const foot = document.querySelector('.foot');
  const told = el('span', { role: 'status' });
  const into = el('button', { type: 'button', class: 'plain', hidden: true, onclick: async () => { if (await ask()) out.focus(); } }, 'Sign in');
  const keeping = el('a', { href: '/keeping', hidden: true }, 'Keys, history, copies');
  const out = el('button', { type: 'button', class: 'plain', hidden: true, onclick: () => leave(told) }, 'Sign out');
  foot?.append(el('p', { class: 'who', id: 'who' }, told, ' ', keeping, into, out));

  const show = (/** @type {Session|undefined} */ now) => {
    if (!now) return;
    const had = document.activeElement === out;
    if (now.role) document.documentElement.dataset.role = now.role;
    else delete document.documentElement.dataset.role;
    told.textContent = now.signed_in ? `Signed in as ${now.name}, ${now.role}.` : '';
    keeping.hidden = now.role !== 'manager';
    into.hidden = now.signed_in;
    out.hidden = !now.signed_in;
    if (had && !now.signed_in) into.focus(); // the one that had it is gone
    gate(now);
  };
  document.addEventListener('evenpull:session', (event) => show(/** @type {CustomEvent<Session>} */ (event).detail));
  // A note that says what a role lacks leads here.
  document.addEventListener('click', (event) => {
    if (!(event.target instanceof Element) || !event.target.closest('a[href="#who"]')) return;
    event.preventDefault();
    ask();
  });
  askSession().then(show); // a page that needed to know has asked already
}

async function ask() {
  const now = session();
  const { askToSignIn } = await import('../account/signin.js');
  return askToSignIn(now?.signed_in ? `You are signed in as ${now.name}, ${now.role}. Give the key to go on with.` : undefined);
}

/** @param {HTMLElement} told */
async function leave(told) {
  try {
    await signOut();
    if (session()?.private) location.reload(); // nothing that was on the page stays in it
  } catch (error) {
    told.textContent = `Still signed in. ${messageOf(error)}`;
  }
}

let isShut = false;

/** @param {Session} now */
async function gate(now) {
  const shut = now.private && !now.signed_in;
  if (shut === isShut) return;
  isShut = shut;
  const doors = await import('./gate.js');
  if (isShut) doors.shut();
  else doors.unshut();
}
