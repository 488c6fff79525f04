// @ts-check
// The frame of every page: units switch, busy notice, sign-in state, gate of a private installation, service worker.

import { onReadRefused, Problem } from '../lib/api.js';
import { putInLink, putText } from '../lib/dom.js';
import { currentUnits, saveUnits } from '../lib/units.js';
import { startOffline } from '../offline/offline.js';

/** @import { Units } from '../lib/units.js' */

/**
 * Starts the frame.
 * @param {(units: Units) => void} [unitsChanged]  called with the new units
 * @returns {Units} the current units
 */
export function startFrame(unitsChanged) {
  const units = currentUnits();
  const choices = [...document.querySelectorAll('input[name="frame-units"]')];
  for (const choice of choices) {
    if (!(choice instanceof HTMLInputElement)) continue;
    choice.checked = choice.value === units;
    choice.addEventListener('change', () => {
      const chosen = choice.value === 'm' ? 'm' : 'ft';
      saveUnits(chosen);
      putInLink({ units: chosen });
      unitsChanged?.(chosen);
    });
  }
  document.addEventListener('evenpull:busy', (event) => {
    const notice = document.getElementById('busy');
    if (notice) notice.hidden = !(/** @type {CustomEvent<boolean>} */ (event).detail);
  });
  // A form that its script does not listen to yet would leave the page, and lose what was typed.
  document.addEventListener('submit', (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (form.method !== 'dialog' && !form.hasAttribute('action')) event.preventDefault();
  });
  onReadRefused(async () => (await import('./gate.js')).waitForSignIn());
  afterLoad(async () => (await import('./who.js')).startWho());
  startOffline();
  return units;
}

/** Waits until the page has loaded. @param {() => void} work */
function afterLoad(work) {
  if (document.readyState === 'complete') work();
  else addEventListener('load', work);
}

/** Sets the units switch, after navigation to a link with other units. @param {Units} units */
export function showUnits(units) {
  for (const choice of document.querySelectorAll('input[name="frame-units"]')) {
    if (choice instanceof HTMLInputElement) choice.checked = choice.value === units;
  }
}

/** Shows why the page could not be loaded. @param {unknown} error */
export function showPageProblem(error) {
  putText('whole-page', error instanceof Problem ? error.message : `Something went wrong: ${error}`);
}

/** @param {string} title */
export function setTitle(title) {
  document.title = `${title} · Evenpull`;
}
