// @ts-check
// How much in the box, as the API says it.

import { el } from '../lib/dom.js';
import { weightWords } from '../lib/units.js';
import { blockWords } from './sleds.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Weights } from './types.js' */

/** The sentences of an answer, the weight in large print. @param {Weights} weights */
export function weightAnswer({ in_words: words }) {
  return [el('p', { class: 'weight' }, words.headline), words.cannot && el('p', { class: 'cannot' }, words.cannot),
    words.sure && el('p', {}, words.sure),
    words.remaining.length > 0 && el('ul', { class: 'rests' }, ...words.remaining.map((text) => el('li', {}, text)))];
}

/**
 * The weight to set, as the crew's blocks make it, else rounded to what its ± deserves, and what goes on the pan with it; null
 * where there is none.
 * @param {Weights|undefined} weights
 * @param {Units} units
 */
export function weightToSet(weights, units) {
  if (!weights || weights.cannot || weights.in_box_lb === null) return null;
  const { rounded_in_box_lb: rounded, in_box_lb: exact, low_lb: low, high_lb: high, blocks, on_pan_lb: pan } = weights;
  const onPan = pan ? `and ${weightWords(pan, units)} on the pan` : '';
  return rounded === null
    ? { weight: weightWords(exact, units, ((high ?? exact) - (low ?? exact)) / 2), blocks: '', onPan }
    : { weight: weightWords(rounded, units), blocks: blockWords(blocks, units), onPan };
}

/**
 * The weight of a pull-off in a few words, with what goes on the pan where that is not as for the class; empty where nothing was asked.
 * @param {{weight?: Weights, pull_off: {weight?: Weights}|null}} row
 * @param {Units} units
 */
export function pullOffWeight({ weight: ofClass, pull_off: pullOff }, units) {
  const set = weightToSet(pullOff?.weight, units);
  if (!set) return pullOff?.weight ? 'no weight' : '';
  const onPan = set.onPan === (weightToSet(ofClass, units)?.onPan ?? '') ? '' : set.onPan || 'and nothing on the pan';
  return `${set.weight} in the box ${onPan}`.trim();
}

/** What is not on file of what a sled bears, in a line; empty where all of it is. @param {Weights} weights */
export function noLimits({ limits }) {
  return limits.filter(({ most_lb: most }) => most === null).map(({ detail }) => detail).join(' ');
}

/** "+2,330 lb". @param {number} lb @param {Units} units @param {number} [plusMinusLb]  what it is rounded by */
export function signedWeight(lb, units, plusMinusLb = 100) {
  return `${lb < 0 ? '−' : '+'}${weightWords(Math.abs(lb), units, plusMinusLb)}`;
}

/** What the sheets say once of what remains in each row. */
export const REMAINS = 'Hook and finish: how much more (+) or less (−) tonight’s pan then carries than that of the sled the class ' +
  'is used to.';

/**
 * What remains at the hook and at the finish, each in a few words; nothing for a setting onto itself.
 * @param {Weights} weights
 * @param {Units} units
 */
export function remains({ own_setting: own, remaining }, units) {
  return remaining.filter(({ where }) => where !== 'top-out' && !own).map(({ where, difference_lb: lb, low_lb: low, high_lb: high }) => {
    const half = (high - low) / 2;
    const short = `${where} ${signedWeight(lb, units, half)}`;
    return { short, exact: `${short} ± ${weightWords(half, units, half)}` };
  });
}
