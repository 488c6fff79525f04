// @ts-check
// Sleds as the API accepts them, and as options of a select.

import { el } from '../lib/dom.js';

/** @import { Sled } from './types.js' */

/** A sled as the API accepts it: without the fields that the server sets. @param {Sled} sled */
export function sledInput(sled) {
  const { id, readings, revision, created_at: made, updated_at: changed, ...input } = sled;
  return input;
}

/**
 * Offers sleds. A retired one is offered only when it is chosen already.
 * @param {HTMLSelectElement} select
 * @param {Sled[]} sleds
 * @param {string} chosen
 * @param {string} none  label of the empty option
 * @param {string} [taken]  a disabled option
 */
export function offerSleds(select, sleds, chosen, none, taken) {
  const offered = sleds.filter(({ id, retired }) => !retired || id === chosen);
  select.replaceChildren(el('option', { value: '' }, none),
    ...offered.map(({ id, name, retired }) => el('option', { value: id, disabled: id === taken }, retired ? `${name} (retired)` : name)));
  select.value = offered.some(({ id }) => id === chosen) ? chosen : '';
}
