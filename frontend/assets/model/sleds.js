// @ts-check
// Sleds as the API accepts them, and as options of a select.

import { el } from '../lib/dom.js';
import { weightWords } from '../lib/units.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Block, Sled } from './types.js' */

/** A sled as the API accepts it: without the fields that the server sets. @param {Sled} sled */
export function sledInput(sled) {
  const { id, readings, weighings, invented, revision, created_at: made, updated_at: changed, ...input } = sled;
  return input;
}

/** Whether any sled was weighed: without one nothing is shown of weights. @param {Sled[]} sleds */
export function anyWeighed(sleds) {
  return sleds.some(({ weighings }) => weighings !== undefined);
}

/** Stands in a select for no sled: a distance in place of a sled and its gear. */
export const NO_SLED = '-';

/**
 * Offers sleds. A retired one is offered only when it is chosen already.
 * @param {HTMLSelectElement} select
 * @param {Sled[]} sleds
 * @param {string} chosen
 * @param {string} none  label of the empty option
 * @param {{taken?: string, distance?: string}} [more]  a disabled option; label of the option for NO_SLED, last
 */
export function offerSleds(select, sleds, chosen, none, { taken, distance } = {}) {
  const offered = sleds.filter(({ id, retired }) => !retired || id === chosen);
  select.replaceChildren(el('option', { value: '' }, none),
    ...offered.map(({ id, name, retired }) => el('option', { value: id, disabled: id === taken }, retired ? `${name} (retired)` : name)),
    ...(distance ? [el('option', { value: NO_SLED }, distance)] : []));
  select.value = offered.some(({ id }) => id === chosen) || (distance && chosen === NO_SLED) ? chosen : '';
}

/** "6 × 2,000 lb, 1 × 1,000 lb". @param {Block[]} blocks @param {Units} units */
export function blockWords(blocks, units) {
  return blocks.map(({ lb, count }) => `${count}\u00a0×\u00a0${weightWords(lb, units)}`).join(', ');
}
