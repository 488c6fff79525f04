// @ts-check
// The entries of this visit: the reading, how it fits, and the undo button.

import { el } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { noted, plusMinus, withPlusMinus } from '../lib/units.js';
import { needsKey } from '../offline/queue.js';
import { mendWords } from '../model/words.js';
import { fitOf } from './fit.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Ended } from '../model/types.js' */
/** @import { Fit } from './fit.js' */
/** @import { Entry } from './visit.js' */

/** @type {Record<Entry['state'], string>} */
const STATES = {
  sending: 'Sending …',
  waiting: 'Kept on this phone until there is signal.',
  refused: 'Refused by the server. It is kept here.',
  sent: '',
  aside: 'Taken back: it does not count.',
  dropped: 'Taken back before it was sent.',
};

/**
 * Fills an element with an entry. A focused button keeps the focus.
 * @param {HTMLElement} place
 * @param {Entry} entry
 * @param {Units} units
 * @param {Record<'undo'|'withdraw'|'keep'|'mend'|'use'|'regear', (entry: Entry) => void>} callbacks
 */
export function showEntry(place, entry, units, callbacks) {
  const active = document.activeElement;
  const focused = active instanceof HTMLButtonElement && place.contains(active) ? active.dataset.does : undefined;
  const fit = fitOf(entry.body, entry.prediction, units);
  const isBack = entry.state === 'aside' || entry.state === 'dropped' || entry.undone;
  const { question, check } = isBack ? {} : entry;
  const asks = question || check?.detail;
  place.className = `entry ${asks ? 'off asks' : entry.state === 'refused' ? 'off' : fit.kind}${isBack ? ' back' : ''}`;
  place.dataset.state = entry.state;
  const chart = !isBack && !question && chartWords(entry, fit, units);
  const what = whatWords(entry, units);
  const button = (/** @type {keyof typeof callbacks} */ does, /** @type {string} */ text) => el('button', {
    type: 'button', 'data-does': does, disabled: entry.busy, 'aria-label': `${text}: ${what}`, onclick: () => callbacks[does](entry),
  }, entry.busy ? 'Working …' : text);
  const undo = button('undo', isBack ? 'Bring back' : 'Undo');
  const sign = signOf(entry, asks ? 'off' : fit.kind, isBack);
  place.dataset.sign = sign;
  const other = !isBack && entry.state !== 'refused' && entry.state !== 'sending' && fit.gear;
  const doing = question ? [button('withdraw', 'Correct'), button('keep', 'Keep it'), undo]
    : check ? [check.mend && button('mend', mendWords(check.mend, units)), button('use', 'Use it'), undo]
      : [entry.state === 'refused' && button('withdraw', 'Put it right'), other && button('regear', `Make it gear ${other}`), undo];
  place.replaceChildren(
    el('p', { class: 'sign' }, SIGNS[sign]),
    el('div', { class: 'says' },
      el('p', { class: 'what' }, what),
      el('p', { class: 'fit' }, asks || (isBack || entry.state === 'refused' ? stateWords(entry) : fit.words)),
      chart && el('p', { class: 'more' }, chart),
      !isBack && entry.state !== 'refused' && stateWords(entry) && el('p', { class: 'state' }, stateWords(entry)),
      ...(entry.faults ?? []).map((text) => el('p', { class: 'fault', role: 'alert' }, text))),
    el('div', { class: 'does' }, ...doing.filter((part) => part instanceof Node)));
  if (focused) {
    const again = place.querySelector(`button[data-does="${focused}"]`);
    if (again instanceof HTMLButtonElement) again.focus();
  }
}

/**
 * What a card says at arm's length, in one word; its shape and its color are in the style sheet.
 * @typedef {'ok'|'look'|'new'|'back'} Sign
 */

/** @type {Record<Sign, string>} */
const SIGNS = { ok: 'OK', look: 'Look', new: 'New', back: 'Off' };

/** @param {Entry} entry @param {Fit['kind']} kind @param {boolean|undefined} isBack @returns {Sign} */
function signOf(entry, kind, isBack) {
  if (isBack) return 'back';
  if (entry.state === 'refused' || kind === 'off') return 'look';
  return kind === 'fits' ? 'ok' : 'new';
}

/** @type {Record<Ended, string>} */
const ENDED = { 'topped-out': 'topped out', 'stopped-short': 'stopped short', 'past-top': 'went past', 'stated': 'somebody’s word' };

/** "Bluestem C, 254 ft, topped out": short, for a line on a phone. @param {Entry} entry @param {Units} units */
function whatWords({ sled, body }, units) {
  const start = body.start_ft === 0 ? '' : ` from ${noted(body.start_ft, units)}`;
  const end = body.end_ft === undefined ? '' : ` at ${noted(body.end_ft, units)}`;
  const plusMinusWords = body.plus_minus_ft === undefined ? '' : ` ± ${noted(body.plus_minus_ft, units)}`;
  const what = `${isolated(sled.name)} ${isolated(body.gear)}`;
  return `${what}, ${noted(body.distance_ft, units)}${plusMinusWords}${start}, ${ENDED[body.ended]}${end}`;
}

/** The text for screen readers. @param {Entry} entry @param {Units} units */
export function announcement(entry, units) {
  const fit = fitOf(entry.body, entry.prediction, units);
  const isBack = entry.state === 'aside' || entry.state === 'dropped' || entry.undone;
  const state = !isBack && (entry.question || entry.check?.detail) ||
    (isBack || entry.state === 'refused' ? stateWords(entry) : `${fit.words} ${stateWords(entry)}`);
  return [`${whatWords(entry, units)}.`, state, ...(entry.faults ?? [])].join(' ').trim();
}

/** @param {Entry} entry */
function stateWords(entry) {
  if (entry.state === 'sending' && entry.undone) return 'It is being taken back.';
  if (entry.state === 'waiting' && needsKey()) return 'Kept on this phone until somebody signs in.';
  if (entry.state === 'waiting' && navigator.onLine) return 'Kept on this phone: it is tried again by itself.';
  return STATES[entry.state];
}

/** @param {Entry} entry @param {Fit} fit @param {Units} units */
function chartWords({ current }, fit, units) {
  const says = current && current.top_out_ft !== null && current.low_ft !== null && current.high_ft !== null
    ? `It now says ${withPlusMinus(current.top_out_ft, plusMinus(current.low_ft, current.high_ft), units)}.` : '';
  return [fit.more, says && (fit.more.startsWith('The chart') ? says : says.replace('It', 'The chart'))].filter(Boolean).join(' ');
}
