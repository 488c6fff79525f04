// @ts-check
// The pullers' page: tonight's sled and classes, and the equivalent of a gear that a puller ran on another sled.

import { setTitle, showUnits, startFrame } from '../frame/frame.js';
import { get, getAll, onlyLatest, Problem } from '../lib/api.js';
import { whenIs } from '../lib/dates.js';
import { byId, el, isFromServer, putParts, putText } from '../lib/dom.js';
import { shareButton } from '../lib/share.js';
import { LengthField, StartField, startIn, startInLink } from '../lib/lengthfield.js';
import { isolated } from '../lib/text.js';
import { currentUnits } from '../lib/units.js';
import { NO_SLED, offerSleds } from '../model/sleds.js';
import { sheetGuests } from '../model/showwords.js';
import { classItem, showWords } from './words.js';

/** @import { Sheet, Show } from '../model/showtypes.js' */
/** @import { Equivalents, InWords, Sled } from '../model/types.js' */

/**
 * What the puller ran. Empty when open; start in feet. On a sled that is not listed, NO_SLED, where the box topped out stands for the gear:
 * `topOut`, in feet, 0 when open.
 * @typedef {{show: string, sled: string, gear: string, topOut: number, start: number}} Ran
 */

const TYPING_MS = 250;

let units = startFrame((chosen) => {
  units = chosen;
  startField.setUnits(units);
  farField.setUnits(units);
  showSheet();
  answer();
  if (sheet) latest(getSheet(), (got) => {
    sheet = got;
    showSheet();
  });
});
let ran = ranFromLink(location.search);
/** @type {Sled[]} */
let sleds = [];
/** @type {Sheet|undefined} */
let sheet;
const latest = onlyLatest();
/** @type {AbortController|undefined} */
let controller;
/** @type {ReturnType<typeof setTimeout>|undefined} */
let timer;

const answerBox = byId('answer', HTMLElement);
const form = byId('ran', HTMLFormElement);
const gearSelect = byId('ran-gear', HTMLSelectElement);
const sledSelect = byId('ran-sled', HTMLSelectElement);
const startInput = byId('ran-start', HTMLInputElement);
const startField = new StartField(startInput, units);
const farInput = byId('ran-far', HTMLInputElement);
const farField = new LengthField(farInput, units);

start();

async function start() {
  if (!isFromServer(answerBox)) say({ headline: 'Looking it up…' });
  try {
    if (!ran.show) ran.show = await showOfTheDay();
    if (!ran.show) {
      noShow();
      return;
    }
    [sheet, sleds] = await Promise.all([getSheet(), /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds'))]);
  } catch (error) {
    if (isFromServer(answerBox) && error instanceof Problem && error.isTemporary) offerAgain(start);
    else failed(error, start);
    return;
  }
  history.replaceState(null, '', linkTo(ran));
  if (!ran.sled) ran.sled = likeliestHome(sheet);
  if (!isFromServer(answerBox)) byId('caution', HTMLParagraphElement).textContent = sheet.caution;
  for (const id of ['ran', 'show']) {
    byId(id, HTMLElement).classList.remove('waiting');
    byId(id, HTMLElement).hidden = false;
  }
  if (ran.start > 0) byId('start-fold', HTMLDetailsElement).open = true;
  form.addEventListener('change', chosen);
  form.addEventListener('submit', (event) => event.preventDefault());
  startInput.addEventListener('input', startTyped);
  startInput.addEventListener('change', startTyped);
  farInput.addEventListener('input', farTyped);
  addEventListener('popstate', restored);
  showSheet();
  fill();
  await answer();
  // after the answer, so that it does not move
  for (const id of ['means', 'classes', 'caution']) byId(id, HTMLElement).hidden = false;
  fill();
}

/** @returns {Promise<Sheet>} */
function getSheet() {
  return get(`/v1/shows/${encodeURIComponent(ran.show)}/sheet`, { query: { units } });
}

/** Today's show, else the one before, which may run past midnight, else the next one, else the latest. */
async function showOfTheDay() {
  /** @type {{items: Show[]}} newest first */
  const { items } = await get('/v1/shows', { query: { limit: 100 } });
  const open = items.filter(({ over }) => !over);
  return (open.find(({ date, zone }) => whenIs(date, zone) === 0) ?? open.find(({ date, zone }) => whenIs(date, zone) < 0) ??
    open.at(-1) ?? items[0])?.id ?? '';
}

/** The sled that most classes are used to, except tonight's: the most likely one. @param {Sheet} of */
function likeliestHome(of) {
  /** @type {Map<string, number>} */
  const counts = new Map();
  for (const { home } of of.rows) {
    if (home.sled && home.sled !== of.sled) counts.set(home.sled, (counts.get(home.sled) ?? 0) + 1);
  }
  return [...counts].sort((a, b) => b[1] - a[1])[0]?.[0] ?? '';
}

/** @param {string} search @returns {Ran} */
function ranFromLink(search) {
  const link = new URLSearchParams(search);
  return {
    show: link.get('show') ?? '', sled: link.has('top_out') ? NO_SLED : link.get('sled') ?? '', gear: link.get('gear') ?? '',
    topOut: startIn(link, 'top_out'), start: startIn(link),
  };
}

/** The link to a question. Start positions in links are always in feet. @param {Ran} asked */
function linkTo(asked) {
  const link = new URLSearchParams({ show: asked.show });
  if (asked.sled === NO_SLED) link.set('top_out', startInLink(asked.topOut));
  else if (asked.sled && asked.gear) {
    link.set('sled', asked.sled);
    link.set('gear', asked.gear);
    if (asked.start > 0) link.set('start', startInLink(asked.start));
  }
  link.set('units', units);
  return `/pullers?${link}`;
}

/** Navigation back or forward. */
function restored() {
  const { show, ...rest } = ranFromLink(location.search);
  ran = { ...rest, show: show || ran.show, sled: rest.sled || ran.sled };
  units = currentUnits();
  showUnits(units);
  startField.setUnits(units);
  farField.setUnits(units);
  showSheet();
  fill();
  answer();
}

/** @param {Event} event */
function chosen(event) {
  if (event.target === farInput) return; // taken as it was typed
  if (event.target === sledSelect) ran = { ...ran, sled: sledSelect.value, gear: '' };
  ran.gear = event.target === sledSelect ? '' : gearSelect.value;
  fill();
  asked(false);
}

/** A button for a gear, while none is chosen. @param {string} label */
function gearButton(label) {
  return el('button', { type: 'button', class: 'gear-button', onclick: () => {
    ran.gear = label;
    fill();
    asked(false);
    answerBox.focus({ preventScroll: true });
  } }, label);
}

function farTyped() {
  const feet = farField.feet;
  sayFault(farInput, farField);
  ran.topOut = feet ?? 0;
  clearTimeout(timer);
  timer = setTimeout(() => asked(true), TYPING_MS);
}

/** Says beside a field that what was typed is no length, else its hint. @param {HTMLInputElement} input @param {LengthField} field */
function sayFault(input, field) {
  const isWrong = field.feet === null;
  const hint = byId(`${input.id}-hint`, HTMLElement);
  hint.dataset.hint ??= hint.textContent ?? '';
  hint.className = isWrong ? 'fault' : 'hint';
  hint.textContent = isWrong ? field.fault : hint.dataset.hint;
  input.setAttribute('aria-invalid', String(isWrong));
}

function startTyped() {
  const feet = startField.feet;
  sayFault(startInput, startField);
  if (feet === null || feet === ran.start) return;
  ran.start = feet;
  clearTimeout(timer);
  timer = setTimeout(() => asked(true), TYPING_MS);
}

/** @param {boolean} sameStep  replaces the history entry instead of adding one */
function asked(sameStep) {
  const link = linkTo(ran);
  if (link !== location.pathname + location.search) {
    if (sameStep) history.replaceState(null, '', link);
    else history.pushState(null, '', link);
  }
  answer();
}

function fill() {
  offerSleds(sledSelect, sleds, ran.sled, 'a sled', { distance: 'a sled not listed' });
  const unlisted = ran.sled === NO_SLED;
  byId('ran-far-field', HTMLElement).hidden = !unlisted;
  gearSelect.hidden = unlisted;
  byId('start-fold', HTMLElement).hidden = unlisted || byId('means', HTMLElement).hidden;
  if (farField.feet !== ran.topOut) farField.feet = ran.topOut || undefined;
  const sled = sleds.find(({ id }) => id === ran.sled);
  const labels = sled?.gears.map(({ label }) => label) ?? [];
  gearSelect.replaceChildren(el('option', { value: '' }, '?'), ...labels.map((label) => el('option', { value: label }, label)));
  gearSelect.value = labels.includes(ran.gear) ? ran.gear : '';
  startField.railMarkFt = sled?.rail_mark_ft || 0.5;
  startField.feet = ran.start;
  sayFault(startInput, startField);
  sayFault(farInput, farField);
}

async function answer() {
  controller?.abort();
  if (!sheet) return;
  controller = new AbortController();
  const { signal } = controller;
  const on = isolated(sheet.sled_name);
  setTitle(sheet.sled === null ? isolated(sheet.name) : `${on} tonight`);
  if (sheet.sled === null) {
    say({ headline: 'Which sled pulls is not known yet.', why: 'Once it is, this page says what your gear is on it.' });
    return;
  }
  if (ran.sled === NO_SLED && ran.topOut < 1) {
    say({ headline: 'Where did your box top out?', why: `Not where you stopped. It is then said in ${on}’s gears.` });
    return;
  }
  if (ran.sled !== NO_SLED && (!ran.sled || !ran.gear)) {
    say({ headline: 'What is your gear tonight?',
      why: `Pick the gear you ran${ran.sled ? '' : ' and the sled you ran it on'}. It is then said in ${on}’s gears.` });
    const gears = sleds.find(({ id }) => id === ran.sled)?.gears ?? [];
    putParts('next-step', ...gears.map(({ label }) => gearButton(label)));
    return;
  }
  if (!isFromServer(answerBox)) answerBox.setAttribute('aria-busy', 'true');
  try {
    const { sled, gear, start: start_ft, topOut: top_out_ft } = ran;
    const what = sled === NO_SLED ? { top_out_ft, one_pull: true } : { sled, gear, start_ft };
    const query = { ...what, on: sheet.sled, units, day: sheet.day };
    const { answers: [found], caution } = /** @type {Equivalents} */ (await get('/v1/equivalents', { query, signal }));
    const { level, sure, for_pullers: { headline, meaning, rests, line } } = /** @type {InWords} */ (found.in_words);
    say({ gear: headline, headline: meaning, sure, why: rests, level });
    byId('caution', HTMLParagraphElement).textContent = caution; // of both sleds
    setTitle(line);
    putParts('next-step', shareButton(new URL(linkTo(ran), location.href).href, line));
  } catch (error) {
    if (!signal.aborted) failed(error, answer);
  }
}

function showSheet() {
  if (!sheet) return;
  byId('show', HTMLParagraphElement).replaceChildren(...showWords(sheet));
  putText('guest', sheetGuests(sheet).join(' '));
  byId('classes-list', HTMLOListElement).replaceChildren(...sheet.rows.map((row) => classItem(row, units)));
}

/** @param {{gear?: string, headline: string, sure?: string, why?: string, level?: string}} words */
function say({ gear = '', headline, sure = '', why = '', level = '' }) {
  answerBox.dataset.level = level;
  delete answerBox.dataset.fromServer;
  answerBox.setAttribute('aria-busy', 'false');
  byId('headline', HTMLElement).replaceChildren(gear && el('span', { class: 'gear' }, gear), gear && ' ', headline);
  putText('sure', sure);
  putText('why', why);
  putParts('next-step');
}

/** Hides the form when there is nothing to choose from. */
function nothingToPick() {
  if (!sheet) for (const id of ['ran', 'show']) byId(id, HTMLElement).hidden = true;
}

function noShow() {
  nothingToPick();
  say({ headline: 'No show is entered yet.',
    why: 'Tonight’s sled is not known here. Which gear on one sled comes nearest to a gear on another can be asked all the same.' });
  putParts('next-step', el('a', { class: 'button', href: '/' }, 'Compare two sleds'));
}

/** @param {unknown} error @param {() => void} again */
function failed(error, again) {
  const problem = error instanceof Problem ? error : new Problem(0, 'Something went wrong', 'The page could not show the answer.');
  const why = problem.faults.map(({ detail }) => detail).join(' ') || problem.message;
  nothingToPick();
  say({ headline: problem.isTemporary ? 'No answer just now.' : 'That cannot be answered.', why, level: 'unknown' });
  if (problem.isTemporary) offerAgain(again);
  else putParts('next-step', el('a', { class: 'button', href: '/pullers' }, 'The next show'));
}

/** @param {() => void} again */
function offerAgain(again) {
  putParts('next-step', el('button', { type: 'button', onclick: again }, 'Try again'));
}
