// @ts-check
// The page for keys, history and copies, for managers only.

import { askSession } from '../account/session.js';
import { askToSignIn } from '../account/signin.js';
import { startFrame } from '../frame/frame.js';
import { byId, el, scrollToHash } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { Copies } from './copies.js';
import { History } from './history.js';
import { Keys } from './keys.js';

/** @import { Session } from '../account/session.js' */

const history = new History(startFrame((units) => history.setUnits(units)));
const keys = new Keys({ changed: () => history.load() });
const copies = new Copies({ changed: () => history.load() });

/** Whether the sections are filled for the signed-in manager. */
let filled = false;

document.addEventListener('evenpull:session', (event) => show(/** @type {CustomEvent<Session>} */ (event).detail));
askSession().then(show);

/** @param {Session|undefined} session */
function show(session) {
  const manager = session?.role === 'manager';
  byId('view', HTMLDivElement).hidden = !manager;
  const notice = byId('not-manager', HTMLDivElement);
  notice.hidden = manager;
  notice.replaceChildren(...(manager ? [] : notManager(session)));
  if (!manager) {
    filled = false;
    keys.clear();
    history.clear();
    return;
  }
  if (filled) return;
  filled = true;
  Promise.all([keys.load(), history.load(), copies.load()]).then(scrollToHash);
}

/** @param {Session|undefined} session */
function notManager(session) {
  if (!session) {
    return [el('p', {}, 'The server could not be reached, and keys and history are not kept on this device: they need signal.'),
      el('p', {}, el('button', { type: 'button', onclick: () => askSession().then(show) }, 'Try again'))];
  }
  return [
    el('p', {}, session.signed_in
      ? `You are signed in as ${isolated(session.name ?? '')}, ${session.role}. Keys, history and copies need a manager’s key.`
      : 'Keys, history and copies are the manager’s: they need a manager’s key.'),
    el('p', {}, el('button', { type: 'button', class: 'primary', onclick: signedIn },
      session.signed_in ? 'Sign in with another key' : 'Sign in')),
  ];
}

async function signedIn() {
  if (await askToSignIn('This page needs a manager’s key.')) byId('main', HTMLElement).focus(); // the button that had the focus is gone
}
