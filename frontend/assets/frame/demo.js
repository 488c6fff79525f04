// @ts-check
// Loading and removing the invented demo fleet.

import { get, messageOf, Problem, request } from '../lib/api.js';
import { el } from '../lib/dom.js';

/** A button that loads the demo. @param {() => void} loaded */
export function demoButton(loaded) {
  const status = el('p', { class: 'hint', role: 'status' },
    'Six sleds with readings, classes and shows, all of them made up. It can be taken out again.');
  const button = el('button', { type: 'button' }, 'Look around in an invented fleet');
  button.addEventListener('click', () => run(button, status, () => request('POST', '/v1/demo'), loaded));
  return el('div', { class: 'demo' }, button, status);
}

/** Shows a notice while the demo is loaded, with a button that removes it. @param {HTMLElement} place @param {() => void} removed */
export async function demoNotice(place, removed) {
  const { loaded } = /** @type {{loaded: boolean}} */ (await get('/v1/demo').catch(() => ({ loaded: false })));
  place.hidden = !loaded;
  if (!loaded) return;
  const status = el('p', { class: 'hint', role: 'status' });
  const button = el('button', { type: 'button' }, 'Take the demo out');
  button.addEventListener('click', () => run(button, status, takeOut, removed));
  const about = 'This is the invented demo fleet. Nothing in it was ever measured. ' +
    'Taking it out leaves what you entered of sleds of your own.';
  place.replaceChildren(el('p', {}, about), button, status);
}

/** Takes the demo out. What rests on it is named, and goes with it where the person says so. */
async function takeOut() {
  try {
    await request('DELETE', '/v1/demo');
  } catch (error) {
    if (!(error instanceof Problem) || error.status !== 409) throw error;
    const { askYes } = await import('../lib/dialogs.js');
    const names = error.message.split(': set on ')[0];
    const sure = await askYes({
      title: 'Take these out as well?',
      explain: `They rest on the demo, and cannot stay without it: ${names}. What was noted of these shows goes too.`,
      confirm: 'Take all of it out',
    });
    if (!sure) throw error;
    await request('DELETE', '/v1/demo', { query: { dependents: 'remove' } });
  }
}

/** @param {HTMLButtonElement} button @param {HTMLElement} status @param {() => Promise<unknown>} send @param {() => void} done */
async function run(button, status, send, done) {
  button.disabled = true;
  try {
    const { withKey } = await import('../account/key.js'); // neither is needed to show the button
    await withKey(send);
    done();
  } catch (error) {
    status.textContent = messageOf(error);
  } finally {
    button.disabled = false;
  }
}
