// @ts-check
// The words of the trade for the codes and numbers of the API, as labels and cells need them. Sentences come from the API itself.

import { fixed, noted, rounded } from '../lib/units.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Answer, Basis, Confidence, Ended, Repeatability } from './types.js' */

/** The basis of a number. @param {Basis} basis @param {string} [statedBy] */
export function basisWords(basis, statedBy) {
  switch (basis) {
    case 'measured': return 'measured';
    case 'interpolated': return 'between measured start positions';
    case 'extended': return 'beyond what was measured';
    case 'stated': return statedBy ? `stated by ${statedBy}` : 'only stated';
    case 'carried': return 'from before the change';
    case 'geared': return 'from the ratios';
    case 'none': return 'not known';
    default: return String(basis);
  }
}

/** @type {Record<Ended, string>} */
const ENDED = {
  'topped-out': 'topped out, spot marked',
  'stopped-short': 'stopped short',
  'past-top': 'went past the top, unmarked',
  'stated': 'somebody’s word',
};

/** @param {Ended} ended */
export function endedWords(ended) {
  return ENDED[ended] ?? ended;
}

/** "full back" or "4 ft forward". @param {number} startFt @param {Units} units */
export function startWords(startFt, units) {
  return startFt === 0 ? 'full back' : `${noted(startFt, units)} forward`;
}

/**
 * "4 ± 5 ft later", or "level, ± 5 ft" where the difference rounds to nothing.
 * @param {number} differenceFt
 * @param {number} plusMinusFt
 * @param {Units} units
 */
export function differenceWords(differenceFt, plusMinusFt, units) {
  const text = rounded(Math.abs(differenceFt), plusMinusFt, units);
  if (Number(text.value) === 0) return `level, ±\u00a0${text.plusMinus}\u00a0${units}`;
  return `${text.value}\u00a0±\u00a0${text.plusMinus}\u00a0${units} ${differenceFt > 0 ? 'later' : 'earlier'}`;
}

/** A chance out of a hundred. @param {number} chance */
export function chanceWords(chance) {
  if (chance > 0.99) return 'more than 99 in 100';
  if (chance < 0.01) return 'less than 1 in 100';
  return `about ${Math.round(chance * 100)} in 100`;
}

/** A chance as a percentage, for tables. @param {number} chance */
export function chancePercent(chance) {
  if (chance > 0.99) return 'over\u00a099\u00a0%';
  if (chance < 0.01) return 'under\u00a01\u00a0%';
  return `${Math.round(chance * 100)}\u00a0%`;
}

/** The chance that the nearest gear really is the nearest, in a few words. @type {Record<Confidence, string>} */
export const SURE = { clear: 'very likely nearest', close: 'probably nearest', 'toss-up': 'a toss-up' };

/** What an answer comes to, for its look. @param {Answer} answer */
export function levelOf({ nearest }) {
  if (!nearest) return 'unknown';
  return nearest.out_of_reach ? 'out-of-reach' : nearest.confidence;
}

/** The repeatability in words. @param {Repeatability} repeatability */
export function repeatabilityWords({ measured, assumed, used }) {
  const pct = (/** @type {number} */ v) => `${fixed(v, 1)}\u00a0%`;
  const now = `Repeats on one day are taken to differ by ${pct(used.reading_pct)}, and one day from another by ${pct(used.day_pct)}.`;
  const ours = `our own assumption of ${pct(assumed.reading_pct)} and ${pct(assumed.day_pct)}, ` +
    `which counts as much as ${fixed(assumed.df, 0)} spare readings`;
  if (!measured) return `${now} So far that is ${ours}: the fleet has no repeats to measure it from.`;
  return `${now} That blends what this fleet’s own repeats show, ${pct(measured.reading_pct)} and ${pct(measured.day_pct)}, with ${ours}.`;
}
