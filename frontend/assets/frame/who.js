// @ts-check
// The sign-in state in the footer, with buttons to sign in and out. Sets the role on the document element: forms.css then hides
// forms that the role may not use.

import { askSession, session, signOut } from '../account/session.js';
import { messageOf } from '../lib/api.js';
import { el } from '../lib/dom.js';
import { isolated } from '../lib/text.js';

/** @import { Session } from '../account/session.js' */

/** Shows the sign-in state. */
export function startWho() {
  const foot = document.querySelector('.foot');
  const status = el('span', { role: 'status' });
  const signIn = async () => { if (await ask()) signOutButton.focus(); };
  const signInButton = el('button', { type: 'button', class: 'plain', hidden: true, onclick: signIn }, 'Sign in');
  const adminLink = el('a', { href: '/admin', hidden: true }, 'Keys, history, copies');
  const signOutButton = el('button', { type: 'button', class: 'plain', hidden: true, onclick: () => leave(status) }, 'Sign out');
  foot?.append(el('p', { class: 'who', id: 'who' }, status, ' ', adminLink, signInButton, signOutButton));

  const show = (/** @type {Session|undefined} */ now) => {
    if (!now) return;
    const hadFocus = document.activeElement === signOutButton;
    if (now.role) document.documentElement.dataset.role = now.role;
    else delete document.documentElement.dataset.role;
    status.textContent = now.signed_in ? `Signed in as ${isolated(now.name)}, ${now.role}.` : '';
    adminLink.hidden = now.role !== 'manager';
    signInButton.hidden = now.signed_in;
    signOutButton.hidden = !now.signed_in;
    if (hadFocus && !now.signed_in) signInButton.focus(); // the button that had the focus is gone
    updateGate(now);
  };
  document.addEventListener('evenpull:session', (event) => show(/** @type {CustomEvent<Session>} */ (event).detail));
  // Notes about missing roles link here.
  document.addEventListener('click', (event) => {
    if (!(event.target instanceof Element) || !event.target.closest('a[href="#who"]')) return;
    event.preventDefault();
    ask();
  });
  askSession().then(show); // cached if the page has asked already
}

async function ask() {
  const now = session();
  const { askToSignIn } = await import('../account/signin.js');
  return askToSignIn(now?.signed_in ? `You are signed in as ${isolated(now.name)}, ${now.role}. Give the key to go on with.` : undefined);
}

/** @param {HTMLElement} status */
async function leave(status) {
  try {
    await signOut();
  } catch (error) {
    status.textContent = `Still signed in. ${messageOf(error)}`;
  }
}

let isClosed = false;

/** @param {Session} now */
async function updateGate(now) {
  const close = now.private && !now.signed_in;
  if (close === isClosed) return;
  isClosed = close;
  const gate = await import('./gate.js');
  if (isClosed) gate.closeGate();
  else gate.openGate();
}
