// @ts-check
// Signs this device in by the one-time link that led here, and goes on to what its role came for.

import { askSession, signInByLink } from '../account/session.js';
import { askToSignIn } from '../account/signin.js';
import { setTitle, startFrame } from '../frame/frame.js';
import { messageOf, Problem } from '../lib/api.js';
import { byId, el } from '../lib/dom.js';

/** @import { Role, Session } from '../account/session.js' */

/** What a role came for. @type {Record<Role, string>} */
const FIRST_PAGE = { manager: '/', operator: '/note', promoter: '/shows' };

const secret = location.hash.slice(1);
history.replaceState(null, '', location.pathname); // the secret does not stay in the address
startFrame();
setTitle('Sign in');
start();

async function start() {
  if (document.visibilityState === 'hidden') { // a page that is fetched ahead must not spend the link
    await new Promise((resolve) => document.addEventListener('visibilitychange', resolve, { once: true }));
  }
  const who = await askSession();
  if (!secret) say('A device is signed in here by the code or the link that a fleet manager shows, or by a key.', byKey());
  else if (who?.signed_in) {
    say(`This browser is signed in as ${who.name}, ${who.role}. The link signs it in as somebody else.`,
      button('Sign in by the link', spend, 'primary'), button('Stay signed in as now', () => goOn(who)));
  } else await spend();
}

async function spend() {
  say('Signing in…');
  try {
    goOn(await signInByLink(secret));
  } catch (error) {
    const again = error instanceof Problem && error.isTemporary;
    say(again ? messageOf(error) : `${messageOf(error)} Whoever showed the code can show another.`,
      ...(again ? [button('Try again', spend, 'primary')] : []), byKey());
  }
}

/** @param {Session} who */
function goOn({ role }) {
  location.replace(role ? FIRST_PAGE[role] : '/');
}

function byKey() {
  return button('Sign in with a key', async () => {
    if (!await askToSignIn()) return;
    const who = await askSession();
    if (who) goOn(who);
  });
}

/** @param {string} text @param {() => unknown} onclick @param {string} [look] */
function button(text, onclick, look = '') {
  return el('button', { type: 'button', class: look, onclick }, text);
}

/** @param {string} text @param {...HTMLButtonElement} buttons */
function say(text, ...buttons) {
  byId('state', HTMLDivElement).replaceChildren(el('p', {}, text));
  byId('choices', HTMLDivElement).replaceChildren(...buttons);
  buttons[0]?.focus();
}
