// @ts-check
// How a reading fits the chart's prediction, in words. Pure functions.

import { isolated } from '../lib/text.js';
import { about, noted, plusMinus, rounded, withPlusMinus } from '../lib/units.js';
import { basisWords, differenceWords, startWords } from '../model/words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Chart, Ended, TopOut } from '../model/types.js' */

/** @typedef {{gear: string, start_ft: number, distance_ft: number, ended: Ended, end_ft?: number, plus_minus_ft?: number}} Noted */

/**
 * The chart's prediction at a start position. `known` is whether the gear's top-out is known at any start position.
 * @typedef {object} Prediction
 * @property {number} take_up_ft
 * @property {number|null} travel_ft  of the box, if it moves evenly; null when not known
 * @property {number} sd_pct  spread of readings on different days: sd of the logarithm, percent
 * @property {{label: string, known: boolean, at: TopOut|undefined}[]} gears
 * @property {number} [before_ft]  the previous reading in this gear from there, which the chart may not include yet
 */

/**
 * @typedef {object} Fit
 * @property {'fits'|'off'|'first'|'unknown'} kind
 * @property {string} words
 * @property {string} more  what it was compared with
 * @property {string} [gear]  another gear that it fits
 */

// 95 % of a normal distribution lie within this many standard deviations.
const SDS = 1.96;

// Standard deviations, ft, of reading the box's marks and the distance of a pull that stopped short; assumptions of the method.
const STARTED_SD = 0.1;
const STOPPED_SD = 0.5;
const DISTANCE_SD = 1;

/**
 * The prediction of a sled's charts at a start position; undefined when they have none.
 * @param {(Chart|undefined)[]} charts
 * @param {number} startFt
 * @returns {Prediction|undefined}
 */
export function predictionAt(charts, startFt) {
  const at = (/** @type {Chart|undefined} */ chart, /** @type {string} */ gear) =>
    chart?.gears.find(({ label }) => label === gear)?.top_outs.find(({ start_ft }) => Math.abs(start_ft - startFt) < 1e-6);
  const chart = charts.find((one) => one?.gears.some(({ label }) => at(one, label)));
  if (!chart) return undefined;
  const { day_pct, reading_pct } = chart.repeatability.used;
  return {
    take_up_ft: chart.take_up_ft,
    travel_ft: chart.shape === 'straight' ? (chart.implied_travel?.used ? chart.implied_travel.travel_ft : chart.travel_ft) : null,
    sd_pct: Math.hypot(day_pct, reading_pct),
    gears: chart.gears.map(({ label }) => ({
      label,
      known: charts.some((one) => one?.gears.find((gear) => gear.label === label)?.top_outs.some(({ basis }) => basis !== 'none')),
      at: at(chart, label),
    })),
  };
}

/**
 * How a reading fits the prediction before it.
 * @param {Noted} reading
 * @param {Prediction|undefined} prediction
 * @param {Units} units
 * @returns {Fit}
 */
export function fitOf(reading, prediction, units) {
  if (!prediction) return { kind: 'unknown', words: 'How it fits is not known: there was no chart to hold it against.', more: '' };
  const gear = prediction.gears.find(({ label }) => label === reading.gear);
  const expected = expectedTopOut(gear?.at, prediction);
  if (!expected) return first(reading, gear?.known ?? false, prediction, units);
  const more = `The chart said ${withPlusMinus(expected.topOut, expected.chart, units)}${basisNote(expected.at)}.`;
  switch (reading.ended) {
    case 'stopped-short': return stoppedShort(reading, expected, prediction, more, units);
    case 'past-top': return pastTop(reading, expected, more, units);
    case 'stated': return stated(reading, expected, more, units);
    default: return toppedOut(reading, { far: reading.distance_ft, tolerance: 0 }, prediction, more, units);
  }
}

/**
 * What the server would ask about an unlikely reading, as far as the chart knows; empty when it is likely. Beyond belief is more than a
 * factor 1.5 from what the gear's other readings say, or outside half and twice the ladder when it has none: assumptions of the method.
 * @param {Noted} reading @param {Prediction|undefined} prediction @param {Units} units
 */
export function questionOf(reading, prediction, units) {
  if (!prediction || reading.ended === 'stopped-short') return '';
  const known = prediction.gears.flatMap(({ label, at }) => (at?.top_out_ft ? [{ label, topOut: at.top_out_ft, basis: at.basis }] : []));
  if (known.length === 0) return '';
  const ladder = known.map(({ topOut }) => topOut);
  const [fastest, slowest] = [Math.min(...ladder), Math.max(...ladder)];
  const own = known.find(({ label, basis }) => label === reading.gear && basis !== 'geared');
  const [low, high] = own ? [own.topOut / 1.5, own.topOut * 1.5] : [fastest / 2, slowest * 2];
  const far = reading.distance_ft;
  if (far >= low && (far <= high || reading.ended === 'past-top')) return '';
  const says = far > slowest ? ['This sled’s slowest gear', slowest] : far < fastest ? ['This sled’s fastest gear', fastest]
    : [`Gear ${isolated(reading.gear)}`, own?.topOut ?? far];
  return `${noted(far, units)}? ${says[0]} tops out near ${about(Number(says[1]), units)}.`;
}

/** @typedef {{at: TopOut, topOut: number, chart: number, tolerance: number}} Expected  ft; chart and tolerance are ± */

/**
 * The expected top-out of a gear, and the tolerance of a good reading: the chart's ± together with the spread of readings from
 * day to day.
 * @param {TopOut|undefined} at
 * @param {Prediction} prediction
 * @returns {Expected|undefined}
 */
function expectedTopOut(at, prediction) {
  if (!at || at.top_out_ft === null || at.low_ft === null || at.high_ft === null) return undefined;
  const chart = plusMinus(at.low_ft, at.high_ft);
  const readings = SDS * (at.top_out_ft - prediction.take_up_ft) * prediction.sd_pct / 100;
  return { at, topOut: at.top_out_ft, chart, tolerance: Math.hypot(chart, readings) };
}

/** @param {TopOut} at */
function basisNote(at) {
  return at.basis === 'measured' || at.basis === 'interpolated' ? '' : `, ${basisWords(at.basis, at.stated_by)}`;
}

/** @param {Noted} reading @param {boolean} known @param {Prediction} prediction @param {Units} units @returns {Fit} */
function first(reading, known, prediction, units) {
  const words = known ? `The first one in this gear from ${startWords(reading.start_ft, units)}.` : 'The first one in this gear.';
  if (prediction.before_ft !== undefined && reading.ended === 'topped-out') {
    const off = reading.distance_ft - prediction.before_ft;
    const tolerance = SDS * Math.SQRT2 * (prediction.before_ft - prediction.take_up_ft) * prediction.sd_pct / 100;
    const by = against(off, tolerance, units).replace('the chart', 'the one before');
    return { kind: Math.abs(off) <= tolerance ? 'fits' : 'off', words: `${Math.abs(off) <= tolerance ? 'Fits: ' : ''}${by}.`, more: '' };
  }
  const same = reading.ended === 'topped-out' ? nearest(reading, { far: reading.distance_ft, tolerance: 0 }, prediction) : undefined;
  const more = same ? `${isolated(same.label)} tops out there too: ${withPlusMinus(same.topOut, same.chart, units)}.` : '';
  return { kind: 'first', words, more };
}

/**
 * A top-out, marked or computed from a pull that stopped short: its distance, and its ± beyond that of any reading.
 * @typedef {{far: number, tolerance: number}} TopOutAt
 */

/**
 * @param {Noted} reading @param {TopOutAt} topOut @param {Prediction} prediction @param {string} more @param {Units} units
 * @returns {Fit}
 */
function toppedOut(reading, topOut, prediction, more, units) {
  const gear = prediction.gears.find(({ label }) => label === reading.gear);
  const expected = /** @type {Expected} */ (expectedTopOut(gear?.at, prediction));
  const isFirst = expected.at.basis === 'stated' || expected.at.basis === 'geared';
  const off = topOut.far - expected.topOut, tolerance = Math.hypot(expected.tolerance, topOut.tolerance);
  const fits = Math.abs(off) <= tolerance;
  const wouldHave = reading.ended === 'stopped-short' ? (fits ? 'it would have topped out ' : 'It would have topped out ') : '';
  const intro = isFirst ? 'The first one measured in this gear. ' : '';
  const head = `${intro}${fits ? 'Fits: ' : ''}${wouldHave}${against(off, tolerance, units)}`;
  if (fits) return { kind: isFirst ? 'first' : 'fits', words: `${head}.`, more };
  const better = nearest(reading, topOut, prediction);
  if (!better) return { kind: 'off', words: `${head}, and no other gear fits.`, more: `${more} Look at the mark, the gear and the start.` };
  const rest = differenceWords(topOut.far - better.topOut, Math.hypot(better.tolerance, topOut.tolerance), units);
  return { kind: 'off', words: `${head}: ${isolated(better.label)} would fit better (${rest}).`, more, gear: better.label };
}

/**
 * "2 ± 7 ft later than the chart", or "level with the chart, ± 7 ft".
 * @param {number} off
 * @param {number} tolerance
 * @param {Units} units
 */
function against(off, tolerance, units) {
  const words = differenceWords(off, tolerance, units);
  return words.startsWith('level') ? words.replace('level', 'level with the chart') : `${words} than the chart`;
}

/**
 * The best fit among the other gears that the reading fits.
 * @param {Noted} reading
 * @param {TopOutAt} topOut
 * @param {Prediction} prediction
 */
function nearest(reading, topOut, prediction) {
  const fitting = prediction.gears.flatMap(({ label, at }) => {
    const its = label === reading.gear ? undefined : expectedTopOut(at, prediction);
    return its && Math.abs(topOut.far - its.topOut) <= Math.hypot(its.tolerance, topOut.tolerance) ? [{ label, ...its }] : [];
  });
  return fitting.sort((a, b) => Math.abs(topOut.far - a.topOut) - Math.abs(topOut.far - b.topOut))[0];
}

/**
 * If the box moves evenly, its share of the travel equals the sled's share of the distance. Otherwise only a pull that went too
 * far is detected.
 * @param {Noted} reading @param {Expected} expected @param {Prediction} prediction @param {string} more @param {Units} units @returns {Fit}
 */
function stoppedShort(reading, expected, prediction, more, units) {
  const before = expected.topOut - reading.distance_ft;
  if (before < -expected.tolerance) {
    const beyond = withPlusMinus(-before, expected.tolerance, units);
    return { kind: 'off', words: `${beyond} beyond the top by the chart: did it stop short?`, more };
  }
  const moved = (reading.end_ft ?? 0) - reading.start_ft, pulled = reading.distance_ft - prediction.take_up_ft;
  if (prediction.travel_ft === null || moved <= 0 || pulled <= 0) {
    return { kind: 'unknown', words: `It stopped ${withPlusMinus(before, expected.tolerance, units)} before the top by the chart.`, more };
  }
  const way = pulled * (prediction.travel_ft - reading.start_ft) / moved;
  const tolerance = SDS * way * Math.hypot(STARTED_SD / moved, STOPPED_SD / moved, DISTANCE_SD / pulled);
  return toppedOut(reading, { far: prediction.take_up_ft + way, tolerance }, prediction, more, units);
}

/** @param {Noted} reading @param {Expected} expected @param {string} more @param {Units} units @returns {Fit} */
function pastTop(reading, expected, more, units) {
  const past = reading.distance_ft - expected.topOut;
  if (past < -expected.tolerance) {
    const short = withPlusMinus(-past, expected.tolerance, units);
    return { kind: 'off', words: `${short} short of the top by the chart: did it go past?`, more };
  }
  const words = past > expected.tolerance
    ? `it went ${withPlusMinus(past, expected.tolerance, units)} past the top`
    : `it ended about where the top is, ${plusMinusWords(expected, units)}`;
  return { kind: 'fits', words: `Fits: ${words}.`, more };
}

/** @param {Expected} expected @param {Units} units */
function plusMinusWords(expected, units) {
  return `±\u00a0${rounded(0, expected.tolerance, units).plusMinus}\u00a0${units}`;
}

/** @param {Noted} reading @param {Expected} expected @param {string} more @param {Units} units @returns {Fit} */
function stated(reading, expected, more, units) {
  const off = reading.distance_ft - expected.topOut;
  const apart = Math.hypot(expected.chart, reading.plus_minus_ft ?? 0);
  const words = against(off, apart, units);
  return Math.abs(off) <= apart ? { kind: 'fits', words: `Fits: ${words}.`, more } : { kind: 'off', words: `${words}.`, more };
}
