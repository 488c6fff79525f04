// @ts-check
// Classes, settings and outcomes in words. Pure functions of the API's answers.

import { dayWords } from '../lib/dates.js';
import { counted, isolated } from '../lib/text.js';
import { about, noted, weightWords, withPlusMinus } from '../lib/units.js';
import { againstTonight, basisWords, startWords, SURE, topOutTonight } from './words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Home, Outcome, Sheet, Show } from './showtypes.js' */
/** @import { Answer, Confidence } from './types.js' */

// A smaller change of the chart reads the same in whole feet.
const MIN_MOVED_FT = 0.5;

/**
 * "2 from full back" or "2 from 4 ft forward".
 * @param {string} gear
 * @param {number} startFt
 * @param {Units} units
 */
export function settingWords(gear, startFt, units) {
  return `${gear} from ${startWords(startFt, units)}`;
}

/** What is in the box and on the pan, where that was noted. @param {{in_box_lb?: number, on_pan_lb?: number}} of @param {Units} units */
export function blocksWords({ in_box_lb: inBox, on_pan_lb: onPan }, units) {
  return [inBox !== undefined && `${weightWords(inBox, units)} in the box`, onPan && `${weightWords(onPan, units)} on the pan`]
    .filter((text) => typeof text === 'string');
}

/** "C on Bluestem", or "240 ft" where it is a distance. @param {Home} home @param {string} sledName @param {Units} units */
export function usedTo({ gear, top_out_ft: distance }, sledName, units) {
  return distance === undefined ? `${gear} on ${sledName}` : noted(distance, units);
}

/**
 * "C on Bluestem, from full back".
 * @param {Home} home
 * @param {string} sledName
 * @param {Units} units
 */
export function homeWords(home, sledName, units) {
  return `${usedTo(home, sledName, units)}, from ${startWords(home.start_ft, units)}`;
}

/** The top-out a class is used to. @param {Home} home @param {Units} units */
export function stoodForWords(home, units) {
  if (home.top_out_ft !== undefined) return 'a distance, whatever the sled';
  if (home.stood_for_ft === null) return 'the chart knew nothing of it then';
  return `that is ${withPlusMinus(home.stood_for_ft, home.plus_minus_ft ?? 0, units)} on average`;
}

/** Whether today's chart lies beyond the ± of what the class is used to. @param {Home|null} home */
export function hasMoved(home) {
  if (!home || home.today_ft === null || home.top_out_ft !== undefined) return false;
  if (home.stood_for_ft === null) return true;
  return Math.abs(home.today_ft - home.stood_for_ft) > Math.max(home.plus_minus_ft ?? 0, MIN_MOVED_FT);
}

/** How the chart has changed since; empty when it has not. @param {Home} home @param {Units} units */
export function movedWords(home, units) {
  if (!hasMoved(home) || home.today_ft === null) return '';
  const today = about(home.today_ft, units);
  if (home.stood_for_ft === null) {
    return `The chart knew nothing of it when it was noted on ${dateOf(home)}; today’s says ${today}. ` +
      'Until somebody takes today’s figure the class has nothing to compare with.';
  }
  const then = withPlusMinus(home.stood_for_ft, home.plus_minus_ft ?? 0, units);
  return `That was ${then} when noted on ${dateOf(home)}; today’s chart says ${today}. ` +
    `The class still means ${about(home.stood_for_ft, units)}.`;
}

/** @param {Home} home */
function dateOf(home) {
  return dayWords(home.noted_on);
}

/** "Sat, Jul 18, 2026 · Alder Fairground · River Valley". @param {{date: string, place?: string, promoter?: string}} show */
export function whenAndWhere({ date, place, promoter }) {
  return [dayWords(date), place, promoter].filter(Boolean).join('\u00a0· ');
}

/** Whose the sleds of a sheet are that are guests: that of tonight first. @param {Sheet} sheet */
export function sheetGuests({ guest, rows }) {
  const homes = rows.flatMap(({ home_guest: home, pull_off: pullOff }) => [home, pullOff?.home_guest]);
  return [...new Set([guest, ...homes].map((of) => of?.detail).filter((said) => said !== undefined))];
}

/** The setting of an answer; null without one. @param {Answer} answer @param {Units} units */
export function tonightWords({ nearest }, units) {
  return nearest && settingWords(nearest.gear, nearest.start_ft, units);
}

/** @param {Answer} answer @param {Units} units */
export function topsOut({ nearest }, units) {
  return nearest ? topOutTonight(nearest, units) : '';
}

/** @param {Answer} answer @param {Units} units */
export function against({ nearest }, units) {
  return nearest ? againstTonight(nearest, units) : '';
}

/** The two gears of a toss-up; empty otherwise. @param {Answer} answer */
export function tossUp({ nearest, runner_up: next }) {
  if (!nearest || !next || nearest.confidence !== 'toss-up' || nearest.out_of_reach) return '';
  return `toss-up: ${isolated(nearest.gear)} or ${isolated(next.gear)}`;
}

/** The confidence of an answer in words. @param {Answer} answer */
export function sureWords(answer) {
  const { nearest, runner_up: next } = answer;
  if (!nearest) return 'no answer';
  if (nearest.out_of_reach) return 'out of reach';
  if (nearest.own_setting) return 'its own setting';
  if (!next) return 'the only gear known';
  return tossUp(answer) || SURE[/** @type {Confidence} */ (nearest.confidence)];
}

/**
 * Remarks on an answer: where it was compared, its basis, a moved start that is worth it.
 * @param {Answer} answer
 * @param {number} homeStartFt
 * @param {Units} units
 */
export function remarks({ nearest, moved_start: moved, usual_gear: usual }, homeStartFt, units) {
  if (!nearest) return [];
  const said = usual ? [`usually ${usual}`] : [];
  if (nearest.basis !== 'measured') said.push(basisWords(nearest.basis, nearest.stated_by));
  if (nearest.compared_at === 'full-back' && homeStartFt !== 0) said.push('compared at full back');
  if (moved?.worth_it) said.push(`where rules allow: ${settingWords(moved.gear, moved.rounded_start_ft, units)}`);
  return said;
}

/** "14 hooked · 2 went full · longest 312.5 ft · pulled soft". @param {Outcome|null|undefined} outcome @param {Units} units */
export function outcomeWords(outcome, units) {
  if (!outcome) return '';
  return [
    outcome.hooks !== undefined && `${counted(outcome.hooks, 'hook')}`,
    outcome.full_pulls !== undefined && `${outcome.full_pulls} full`,
    outcome.longest_ft !== undefined && `longest ${noted(outcome.longest_ft, units)}`,
    outcome.felt && feltWords(outcome.felt),
    outcome.note && `“${outcome.note}”`,
  ].filter(Boolean).join('\u00a0· ');
}

/** @param {'soft'|'right'|'hard'} felt */
function feltWords(felt) {
  return felt === 'right' ? 'felt right' : `felt too ${felt}`;
}

/** A show as the API accepts it: without the fields that the server sets. @param {Show} show */
export function showInput(show) {
  const { id, revision, created_at: made, updated_at: changed, pullers_url: link, ...input } = show;
  return input;
}
