// @ts-check
// How much in the box on the sheet of a show. Loaded only where a class has a weight.

import { el } from '../../lib/dom.js';
import { noLimits, pullOffWeight, REMAINS, remains, weightToSet } from '../../model/weights.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Sheet, SheetRow } from '../../model/showtypes.js' */
/** @import { Weights } from '../../model/types.js' */

/** The weight in large print, or why there is none. @param {Weights|undefined} weights @param {Units} units */
export function inTheBox(weights, units) {
  if (!weights) return [];
  const set = weightToSet(weights, units);
  return [el('strong', {}, set?.weight ?? 'no weight'), ...smalls(set ? [set.blocks, set.onPan] : [weights.in_words.cannot ?? ''])];
}

/** The same of a pull-off. @param {SheetRow} row @param {Units} units */
export function inPullOff(row, units) {
  return smalls([pullOffWeight(row, units)]);
}

/** What then remains, and why there is no weight for a pull-off. @param {SheetRow} row @param {Units} units */
export function aboutWeights({ weight: weights, pull_off: pullOff }, units) {
  const left = weights && weightToSet(weights, units) ? remains(weights, units).map(({ exact }) => exact) : [];
  return [...left, pullOff?.weight?.in_words.cannot ?? ''];
}

/** What is said once below the sheet: what remains, what is not on file of the sled, the caution. @param {Sheet} sheet */
export function weightNotes({ rows, load_caution: caution }) {
  const weights = rows.flatMap(({ weight, pull_off: pullOff }) => [weight, pullOff?.weight]).find((one) => one !== undefined);
  return [REMAINS, weights && noLimits(weights), caution].filter(Boolean).join(' ');
}

/** @param {string[]} texts */
function smalls(texts) {
  return texts.filter((text) => text !== '').map((text) => el('small', {}, text));
}
