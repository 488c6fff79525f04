// @ts-check
// The API's answers in sentences. Pure functions.

import { sentence } from '../lib/text.js';
import { fixed, noted, plusMinus, rounded, withPlusMinus } from '../lib/units.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Answer, Asked, Basis, Ended, Nearest, Repeatability } from './types.js' */

/**
 * The basis of a number.
 * @param {Basis} basis
 * @param {string} [statedBy]
 */
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

// The largest moved start that the API considers before it calls a gear out of reach.
const MAX_MOVED_FT = 6;

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

/**
 * "full back" or "4 ft forward".
 * @param {number} startFt
 * @param {Units} units
 */
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
 * A chance out of a hundred.
 * @param {number} chance
 */
export function chanceWords(chance) {
  if (chance > 0.99) return 'more than 99 in 100';
  if (chance < 0.01) return 'less than 1 in 100';
  return `about ${Math.round(chance * 100)} in 100`;
}

/**
 * A chance as a percentage, for tables.
 * @param {number} chance
 */
export function chancePercent(chance) {
  if (chance > 0.99) return 'over\u00a099\u00a0%';
  if (chance < 0.01) return 'under\u00a01\u00a0%';
  return `${Math.round(chance * 100)}\u00a0%`;
}

/**
 * An answer in words: headline, meaning, confidence, and the basis of its numbers.
 * @typedef {object} Summary
 * @property {string} headline
 * @property {string} sentence
 * @property {string} sure
 * @property {'clear'|'close'|'toss-up'|'out-of-reach'|'unknown'} level
 * @property {string[]} notes
 */

/**
 * @param {Asked} asked
 * @param {Answer|undefined} answer
 * @param {{asked: string, on: string}} names  the sleds' names
 * @param {Units} units
 * @returns {Summary}
 */
export function summarize(asked, answer, names, units) {
  const nearest = answer?.nearest;
  if (!answer || !nearest) return unknown(asked, answer, names, units);
  return {
    ...(nearest.out_of_reach ? outOfReach(nearest, names, units) : inReach(nearest, answer, names, units)),
    notes: notesOn(asked, nearest, names, units),
  };
}

/**
 * @param {Asked} asked
 * @param {Answer|undefined} answer
 * @param {{asked: string, on: string}} names
 * @param {Units} units
 * @returns {Summary}
 */
function unknown(asked, answer, names, units) {
  const from = `from ${startWords(asked.start_ft, units)}`;
  /** @type {Pick<Summary, 'headline'|'level'|'notes'>} */
  const head = { headline: 'No answer yet.', level: 'unknown', notes: [] };
  if (asked.top_out_ft !== null) {
    return {
      ...head,
      sentence: sentence(answer?.detail || `Nothing is known of ${names.on} yet`),
      sure: `One marked top-out of each gear on ${names.on} is enough for a first answer.`,
    };
  }
  const gear = `${asked.gear} on ${names.asked}`;
  return {
    ...head,
    sentence: `It is not known where ${gear} tops out ${from}.`,
    sure: asked.start_ft === 0
      ? `One marked top-out of ${gear} is enough for a first answer.`
      : `A marked top-out of ${gear} from there is enough; so is one from full back once the travel of ${names.asked} is taped.`,
  };
}

/**
 * @param {Nearest} nearest
 * @param {Answer} answer
 * @param {{asked: string, on: string}} names
 * @param {Units} units
 * @returns {Omit<Summary, 'notes'>}
 */
function inReach(nearest, answer, names, units) {
  const runnerUp = answer.runner_up;
  let sure = `${nearest.gear} is very likely the nearest: ${chanceWords(nearest.chance_nearest)}.`;
  if (!runnerUp) {
    sure = `${nearest.gear} is the only gear on ${names.on} of which something is known.`;
  } else if (nearest.confidence === 'close') {
    sure = `${nearest.gear} is probably the nearest, ${chanceWords(nearest.chance_nearest)}; ${runnerUp.gear} is the next likeliest.`;
  } else if (nearest.confidence === 'toss-up') {
    sure = `A toss-up between ${nearest.gear} and ${runnerUp.gear}: ${chanceWords(nearest.chance_nearest)} for ${nearest.gear}, ` +
      `${chanceWords(runnerUp.chance_nearest)} for ${runnerUp.gear}.`;
  }
  return {
    headline: `${nearest.gear} on ${names.on}.`,
    sentence: boxSentence(nearest, units),
    sure,
    level: nearest.confidence,
  };
}

/** @param {Nearest} nearest @param {Units} units */
function boxSentence(nearest, units) {
  const text = rounded(Math.abs(nearest.difference_ft), plusMinus(nearest.difference_low_ft, nearest.difference_high_ft), units);
  const tolerance = `±\u00a0${text.plusMinus}\u00a0${units}`;
  if (Number(text.value) === 0) return `The box tops out at the same spot (${tolerance}).`;
  const way = nearest.difference_ft > 0 ? 'later' : 'earlier';
  const withinTolerance = nearest.difference_low_ft < 0 && nearest.difference_high_ft > 0;
  return `The box tops out ${text.value}\u00a0${units} ${way} (${tolerance}), so the weight comes on ${way}.` +
    (withinTolerance ? ' The measuring can hardly tell that apart.' : '');
}

/** @param {Nearest} nearest @param {{asked: string, on: string}} names @param {Units} units @returns {Omit<Summary, 'notes'>} */
function outOfReach(nearest, names, units) {
  const pm = plusMinus(nearest.difference_low_ft, nearest.difference_high_ft);
  const tooEarly = nearest.difference_ft < 0;
  return {
    headline: `Out of reach on ${names.on}.`,
    sentence: `The ${tooEarly ? 'slowest' : 'fastest'} gear, ${nearest.gear}, ` +
      `tops out ${differenceWords(nearest.difference_ft, pm, units)}, ` +
      `so the weight comes on ${tooEarly ? 'earlier' : 'later'} than the class is used to.`,
    sure: tooEarly
      ? `No other gear on ${names.on} comes nearer, and a moved start only makes it earlier.`
      : `No other gear on ${names.on} comes nearer, nor does a start moved up to ${noted(MAX_MOVED_FT, units)} forward.`,
    level: 'out-of-reach',
  };
}

/** @param {Asked} asked @param {Nearest} nearest @param {{asked: string, on: string}} names @param {Units} units */
function notesOn(asked, nearest, names, units) {
  const notes = [];
  if (nearest.compared_at === 'full-back' && asked.start_ft !== 0) {
    notes.push(`Compared at full back because nothing is known of ${names.on} from ${startWords(asked.start_ft, units)}.`);
  }
  if (asked.top_out_ft !== null && asked.low_ft !== null && asked.high_ft !== null) {
    notes.push(`${asked.gear} on ${names.asked}, from ${startWords(asked.start_ft, units)}: ` +
      `${withPlusMinus(asked.top_out_ft, plusMinus(asked.low_ft, asked.high_ft), units)}, ${basisWords(asked.basis, asked.stated_by)}.`);
  }
  notes.push(`${nearest.gear} on ${names.on}, from ${startWords(nearest.start_ft, units)}: ` +
    `${withPlusMinus(nearest.top_out_ft, plusMinus(nearest.low_ft, nearest.high_ft), units)}, ` +
    `${basisWords(nearest.basis, nearest.stated_by)}.`);
  return notes;
}

/**
 * The repeatability in words.
 * @param {Repeatability} repeatability
 */
export function repeatabilityWords({ measured, assumed, used }) {
  const pct = (/** @type {number} */ v) => `${fixed(v, 1)}\u00a0%`;
  const now = `Repeats on one day are taken to differ by ${pct(used.reading_pct)}, and one day from another by ${pct(used.day_pct)}.`;
  const ours = `our own assumption of ${pct(assumed.reading_pct)} and ${pct(assumed.day_pct)}, ` +
    `which counts as much as ${fixed(assumed.df, 0)} spare readings`;
  if (!measured) return `${now} So far that is ${ours}: the fleet has no repeats to measure it from.`;
  return `${now} That blends what this fleet’s own repeats show, ${pct(measured.reading_pct)} and ${pct(measured.day_pct)}, with ${ours}.`;
}
