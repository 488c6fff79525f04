// @ts-check
// The sign-in state in the header: a button to sign in, or the name with a menu to sign out. Sets the role on the document element:
// forms.css then hides forms that the role may not use.

import { askSession, session, signOut } from '../account/session.js';
import { messageOf } from '../lib/api.js';
import { byId, el } from '../lib/dom.js';
import { isolated } from '../lib/text.js';

/** @import { Session } from '../account/session.js' */

/** Shows the sign-in state. */
export function startWho() {
  const status = el('span', { class: 'unseen', role: 'status' });
  const name = el('span');
  const about = el('p');
  const summary = el('summary', {}, name);
  const signIn = async () => { if (await ask()) summary.focus(); };
  const signInButton = el('button', { type: 'button', class: 'plain', hidden: true, onclick: signIn }, 'Sign in');
  const adminLink = el('a', { href: '/admin', hidden: true }, 'Keys, history, copies');
  const signOutButton = el('button', { type: 'button', class: 'plain', onclick: () => leave(about) }, 'Sign out');
  const menu = el('details', { hidden: true }, summary, el('div', {}, about, adminLink, signOutButton));
  byId('who', HTMLDivElement).replaceChildren(status, signInButton, menu);
  closeByItself(menu, summary);

  const show = (/** @type {Session|undefined} */ now) => {
    if (!now) return;
    const hadFocus = menu.contains(document.activeElement);
    if (now.role) document.documentElement.dataset.role = now.role;
    else delete document.documentElement.dataset.role;
    name.textContent = now.name ?? '';
    about.textContent = status.textContent = now.signed_in ? `Signed in as ${isolated(now.name ?? '')}, ${now.role}.` : '';
    adminLink.hidden = now.role !== 'manager';
    signInButton.hidden = now.signed_in;
    menu.hidden = !now.signed_in;
    menu.open &&= now.signed_in;
    if (hadFocus && !now.signed_in) signInButton.focus(); // the button that had the focus is gone
    updateGate(now);
  };
  document.addEventListener('evenpull:session', (event) => show(/** @type {CustomEvent<Session>} */ (event).detail));
  // Notes about missing roles link here.
  document.addEventListener('click', (event) => {
    if (!(event.target instanceof Element) || !event.target.closest('a[href="#who"]')) return;
    event.preventDefault();
    askFor(event.target);
  });
  askSession().then(show); // cached if the page has asked already
}

/** Closes a menu when somebody goes on elsewhere, or with Escape. @param {HTMLDetailsElement} menu @param {HTMLElement} summary */
function closeByItself(menu, summary) {
  document.addEventListener('pointerdown', (event) => { menu.open &&= menu.contains(/** @type {Node} */ (event.target)); });
  menu.addEventListener('focusout', ({ relatedTarget: to }) => { menu.open &&= !(to instanceof Node) || menu.contains(to); });
  menu.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape' || !menu.open) return;
    menu.open = false;
    summary.focus();
  });
}

async function ask() {
  const now = session();
  const { askToSignIn } = await import('../account/signin.js');
  return askToSignIn(now?.signed_in
    ? `You are signed in as ${isolated(now.name ?? '')}, ${now.role}. Give the key to go on with.` : undefined);
}

/**
 * Asks to sign in for what a note says is missing, and goes on where that now is: the note is gone then.
 * @param {Element} note
 */
async function askFor(note) {
  const section = note.closest('section, main');
  if (!await ask() || note.checkVisibility()) return;
  const allowed = [...section?.querySelectorAll('[data-needs]') ?? []].filter((part) => part.checkVisibility());
  const next = allowed.flatMap((part) => [part, ...part.querySelectorAll('a[href], button, input, select, textarea, summary')])
    .find((part) => part.matches('a[href], button, input, select, textarea, summary') && part.checkVisibility());
  if (next instanceof HTMLElement) next.focus();
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
