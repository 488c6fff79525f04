// @ts-check
// The words of the trade for the codes and numbers of the API, as labels and cells need them. Sentences come from the API itself,
// but for those of repeatabilityWords.

import { counted, isolated } from '../lib/text.js';
import { fixed, noted, plusMinus, rounded, withPlusMinus } from '../lib/units.js';

/** @import { Units } from '../lib/units.js' */
/** @import { AnswerGear, Basis, Confidence, Ended, Mend, Nearest, Repeatability, TableRow, TopOut } from './types.js' */

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

/**
 * "259 ± 5 ft", on one more pull tonight; empty when not known.
 * @param {Pick<Nearest|TableRow|TopOut, 'top_out_ft'|'tonight_low_ft'|'tonight_high_ft'>} at
 * @param {Units} units
 */
export function topOutTonight({ top_out_ft: topOut, tonight_low_ft: low, tonight_high_ft: high }, units) {
  return topOut === null || low === null || high === null ? '' : withPlusMinus(topOut, plusMinus(low, high), units);
}

/** A difference, on one more pull tonight. @param {Nearest|AnswerGear} at @param {Units} units */
export function againstTonight({ difference_ft: difference, difference_tonight_low_ft: low, difference_tonight_high_ft: high }, units) {
  return differenceWords(difference, plusMinus(low, high), units);
}

/** A chance as a percentage, for tables. @param {number} chance */
export function chancePercent(chance) {
  if (chance > 0.99) return 'over\u00a099\u00a0%';
  if (chance < 0.01) return 'under\u00a01\u00a0%';
  return `${Math.round(chance * 100)}\u00a0%`;
}

/** The chance that the nearest gear really is the nearest, in a few words. @type {Record<Confidence, string>} */
export const SURE = { clear: 'very likely nearest', close: 'probably nearest', 'toss-up': 'a toss-up' };

/** The mend of a reading as a button says it. @param {Mend} mend @param {Units} units */
export function mendWords({ kind, gear, start_ft: start, distance_ft: distance }, units) {
  if (kind === 'another-gear' || kind === 'labels-swapped') return `Make it gear ${gear}`;
  return `Make it ${kind === 'other-end' ? startWords(start, units) : noted(distance, units)}`;
}

/** The repeatability in words. @param {Repeatability} repeatability */
export function repeatabilityWords({ pooled, assumed, used, of }) {
  const pct = (/** @type {number} */ v) => `${fixed(v, 1)}\u00a0%`;
  const now = `Repeats on one day are taken to differ by ${pct(used.reading_pct)}, and one day from another by ${pct(used.day_pct)}.`;
  if (of) return `${now} That is how well ${isolated(of)} measures, whose sled it is.`;
  const ours = `our own assumption of ${pct(assumed.reading_pct)} and ${pct(assumed.day_pct)}, ` +
    `which counts as much as ${fixed(assumed.df, 0)} spare readings`;
  if (!pooled) return `${now} So far that is ${ours}: the fleet has no repeats to measure it from.`;
  const without = pooled.left_out === 0 ? '' : `, without ${counted(pooled.left_out, 'reading')} that its own notebooks contradict`;
  const shown = `${pct(pooled.reading_pct)} and ${pct(pooled.day_pct)}${without}`;
  return `${now} That blends what this fleet’s own repeats show, ${shown}, with ${ours}.`;
}
