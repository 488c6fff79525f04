// @ts-check
// A pull of the show as a reading: its test day is the show, so that it moves tonight's sheet.

import { address } from '../../lib/api.js';
import { el } from '../../lib/dom.js';

/** @import { Outcome } from '../../offline/queue.js' */
/** @import { Sheet } from '../../model/showtypes.js' */
/** @import { Ended } from '../../model/types.js' */

/** @typedef {{gear: string, start_ft: number, distance_ft: number|undefined, ended: Ended|'', end_ft?: number, note?: string}} Pull */

/**
 * Sends a pull. What the server finds unlikely is asked about in a place first; without an outcome it is to be corrected.
 * @param {typeof import('../../offline/queue.js').send} send
 * @param {{sheet: Sheet, sled: string, pull: Pull, label: string, place: HTMLElement}} what
 * @returns {Promise<Outcome|undefined>}
 */
export async function sendPull(send, { sheet, sled, pull, label, place }) {
  const item = {
    path: `/v1/sleds/${encodeURIComponent(sled)}/readings`, label,
    body: { ...pull, measured_on: sheet.date, day: sheet.day, place: sheet.place || undefined },
  };
  place.replaceChildren();
  const outcome = await send(item);
  if (outcome.status !== 'refused' || !outcome.problem.question) return outcome;
  const { question } = outcome.problem;
  const keeps = await new Promise((resolve) => {
    const button = (/** @type {string} */ text, /** @type {boolean} */ keep) =>
      el('button', { type: 'button', onclick: () => resolve(keep) }, text);
    const correct = button('Correct', false);
    place.replaceChildren(el('div', { class: 'notice', role: 'alert' }, el('p', {}, question),
      el('div', { class: 'actions' }, correct, button('Keep it', true))));
    correct.focus();
  });
  place.replaceChildren();
  return keeps ? send({ ...item, path: address(item.path, { unlikely: 'keep' }) }) : undefined;
}
