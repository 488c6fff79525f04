// @ts-check
// The answer of the Tonight page: in words, as a drawing, all gears, moved start, box speeds.

import { address } from '../lib/api.js';
import { byId, el, putParts, putText, row, table } from '../lib/dom.js';
import { picture } from '../lib/picture.js';
import { isolated, nameOf } from '../lib/text.js';
import { noted, speedWords } from '../lib/units.js';
import { NO_SLED } from '../model/sleds.js';
import { againstTonight, basisWords, chancePercent, topOutTonight } from '../model/words.js';
import { queryOf } from './question.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Answer, Asked, Equivalents, InWords, Sled } from '../model/types.js' */
/** @import { Question } from './question.js' */

/**
 * Shows an answer. The result is a title and a summary in one line.
 * @param {Equivalents} equivalents  with one answer
 * @param {Question} question
 * @param {Sled[]} sleds
 * @param {Units} units
 */
export function showAnswer({ asked, answers: [answer], caution }, question, sleds, units) {
  const names = { asked: nameOf(question.sled, sleds), on: nameOf(question.on, sleds) };
  const { level, asked: about, headline, meaning, sure, rests, moved_start: movedStart } = /** @type {InWords} */ (answer.in_words);
  const setting = question.sled === NO_SLED ? noted(question.topOut, units) : `${isolated(question.gear)} on ${isolated(names.asked)}`;
  say({ asked: about, headline, meaning, sure, rests, level, caution });
  if (!answer.nearest) {
    const unknown = asked.top_out_ft === null ? question.sled : question.on;
    const href = address('/fleet', { sled: unknown, units });
    putParts('next-step', el('a', { class: 'button', href }, `Enter readings of ${nameOf(unknown, sleds)}`));
  }
  const details = byId('details', HTMLDivElement);
  details.hidden = false;
  details.replaceChildren(...(answer.nearest || answer.gears?.length ? [
    drawing(asked, answer, question, names, sleds, units),
    gearTable(answer, names, units),
    movedStart && movedStartPart(movedStart),
    boxSpeeds(asked, answer, names, units),
  ].filter((part) => part instanceof Node) : []));
  return { title: `${setting}: ${headline.replace(/\.$/, '')}`, line: `${headline} ${meaning}` };
}

/**
 * Sets the texts at the top of the page. Missing ones are hidden.
 * @param {{asked?: string, headline: string, meaning: string, sure?: string, level?: string, rests?: string[], caution?: string}} words
 */
export function say({ asked = '', headline, meaning, sure = '', level = '', rests = [], caution = '' }) {
  const section = byId('answer', HTMLElement);
  section.dataset.level = level;
  delete section.dataset.fromServer;
  section.setAttribute('aria-busy', 'false');
  for (const [id, text] of Object.entries({ asked, headline, meaning, sure, caution })) putText(id, text);
  byId('how-sure', HTMLParagraphElement).hidden = sure === '';
  putParts('next-step');
  putParts('rests', ...rests.map((text) => el('li', {}, text)));
}

/**
 * @param {Asked} asked
 * @param {Answer} answer
 * @param {Question} question
 * @param {{asked: string, on: string}} names
 * @param {Sled[]} sleds
 * @param {Units} units
 */
function drawing(asked, answer, question, names, sleds, units) {
  if (!answer.nearest || asked.top_out_ft === null) return null;
  const byDistance = question.sled === NO_SLED;
  const drawn = byDistance ? [question.on] : [question.sled, question.on];
  const untaped = drawn.filter((id) => sleds.find((sled) => sled.id === id)?.travel_ft === undefined);
  if (untaped.length > 0) {
    const whose = untaped.map((id) => nameOf(id, sleds)).join(' and ');
    return el('p', { class: 'hint' }, `No drawing of the boxes: the travel of ${whose} has not been taped.`);
  }
  const { nearest } = answer;
  const there = `${isolated(nearest.gear)} on ${isolated(names.on)}`;
  const alt = byDistance
    ? `The box along the pull. ${there} tops out at ${topOutTonight(nearest, units)}. ` +
      `The distance asked about is ${noted(question.topOut, units)}.`
    : 'Both boxes along the pull. ' +
      `${isolated(asked.gear ?? '')} on ${isolated(names.asked)} tops out at ${topOutTonight(asked, units)}, ` +
      `${there} at ${topOutTonight(nearest, units)}.`;
  return picture('/v1/equivalents.svg', queryOf(question, units), alt);
}

/** @param {Answer} answer @param {{asked: string, on: string}} names @param {Units} units */
function gearTable(answer, names, units) {
  const { nearest } = answer;
  const rows = (answer.gears ?? []).map((gear) => {
    const isNearest = gear.gear === nearest?.gear;
    return row(isNearest ? `${isolated(gear.gear)} (nearest)` : gear.gear, [
      topOutTonight(gear, units),
      againstTonight(gear, units),
      chancePercent(gear.chance_nearest),
      basisWords(gear.basis, gear.stated_by),
    ], { class: isNearest ? 'chosen' : '' });
  });
  return el('section', {}, el('h2', {}, `Every gear of ${isolated(names.on)}`),
    table(`Every gear of ${isolated(names.on)}, slowest first`,
      ['Gear', 'Tonight', 'Against what is asked', 'Chance of being nearest', 'Known from'], rows));
}

/** @param {string} said */
function movedStartPart(said) {
  return el('section', {}, el('h2', {}, 'Or move the start'), el('p', {}, said),
    el('p', { class: 'caution' },
      'A moved start changes the load at the hook and is harder to repeat than the stop. Only where class rules allow it.'));
}

/** @param {Asked} asked @param {Answer} answer @param {{asked: string, on: string}} names @param {Units} units */
function boxSpeeds(asked, { nearest }, names, units) {
  if (!nearest) return null;
  const one = speedWords(asked.box_speed, asked.box_speed_low, asked.box_speed_high);
  const two = speedWords(nearest.box_speed, nearest.box_speed_low, nearest.box_speed_high);
  const per = units === 'm' ? 'm of box for 100 m of ground' : 'ft of box for 100 ft of ground';
  const unknown = 'not known: it needs the travel';
  return el('section', {}, el('h2', {}, 'How fast the box moves'),
    el('dl', { class: 'pairs' },
      ...(asked.gear ? [
        el('dt', {}, `${isolated(asked.gear ?? '')} on ${isolated(names.asked)}`), el('dd', {}, one ? `${one} ${per}` : unknown)] : []),
      el('dt', {}, `${isolated(nearest.gear)} on ${isolated(names.on)}`), el('dd', {}, two ? `${two} ${per}` : unknown)),
    asked.gear && el('p', { class: 'hint' }, 'With unequal travels, topping out at the same foot is not the same speed.'));
}
