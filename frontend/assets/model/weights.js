// @ts-check
// How much in the box, as the API says it.

import { el } from '../lib/dom.js';
import { weightWords } from '../lib/units.js';
import { blockWords } from './sleds.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sled, Weights } from './types.js' */

/** Whether any sled was weighed: without one nothing is shown of weights. @param {Sled[]} sleds */
export function anyWeighed(sleds) {
  return sleds.some(({ weighings }) => weighings !== undefined);
}

/** The sentences of an answer, the weight in large print. @param {Weights} weights */
export function weightAnswer({ in_words: words }) {
  return [el('p', { class: 'weight' }, words.headline), words.cannot && el('p', { class: 'cannot' }, words.cannot),
    words.sure && el('p', {}, words.sure),
    words.remaining.length > 0 && el('ul', { class: 'rests' }, ...words.remaining.map((text) => el('li', {}, text)))];
}

/**
 * The weight to set, as the crew's blocks make it, else rounded to what its ± deserves; null where there is none.
 * @param {Weights|undefined} weights
 * @param {Units} units
 */
export function weightToSet(weights, units) {
  if (!weights || weights.cannot || weights.in_box_lb === null) return null;
  const { rounded_in_box_lb: rounded, in_box_lb: exact, low_lb: low, high_lb: high, blocks } = weights;
  return rounded === null
    ? { weight: weightWords(exact, units, ((high ?? exact) - (low ?? exact)) / 2), blocks: '' }
    : { weight: weightWords(rounded, units), blocks: blockWords(blocks, units) };
}

/** The weight of a pull-off in a few words; empty where nothing was asked. @param {{weight?: Weights}} pullOff @param {Units} units */
export function pullOffWeight({ weight: weights }, units) {
  const set = weightToSet(weights, units);
  return set ? `${set.weight} in the box` : weights ? 'no weight' : '';
}

/** Where nothing is on file of what a sled bears. @param {Weights} weights */
export function noLimits({ limits }) {
  return limits.filter(({ most_lb: most }) => most === null).map(({ detail }) => detail);
}

/** The sentences of what remains at the hook and at the finish. @param {Weights} weights */
export function remainders({ remaining, in_words: words }) {
  return words.remaining.filter((_, place) => remaining[place].where !== 'top-out');
}
