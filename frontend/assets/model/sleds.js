// @ts-check
// Sleds as the API takes them, and as choices.

import { el } from '../lib/dom.js';

/** @import { Sled } from './types.js' */

/** A sled as the API takes it: without what the server makes itself. @param {Sled} sled */
export function sledInput(sled) {
  const { id, readings, revision, created_at: made, updated_at: changed, ...input } = sled;
  return input;
}

/**
 * Offers sleds, retired ones only where they are chosen already.
 * @param {HTMLSelectElement} select
 * @param {Sled[]} sleds
 * @param {string} chosen
 * @param {string} none  what stands for no sled
 * @param {string} [taken]  a sled that cannot be chosen
 */
export function offerSleds(select, sleds, chosen, none, taken) {
  const offered = sleds.filter(({ id, retired }) => !retired || id === chosen);
  select.replaceChildren(el('option', { value: '' }, none),
    ...offered.map(({ id, name, retired }) => el('option', { value: id, disabled: id === taken }, retired ? `${name} (retired)` : name)));
  select.value = offered.some(({ id }) => id === chosen) ? chosen : '';
}
