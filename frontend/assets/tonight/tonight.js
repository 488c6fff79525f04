// @ts-check
// The Tonight page: a question from the form or the link, and its answer.

import { setTitle, showUnits, startFrame } from '../frame/frame.js';
import { get, getAll, Problem } from '../lib/api.js';
import { byId, el, isFromServer, putParts, putText } from '../lib/dom.js';
import { nameOf } from '../lib/text.js';
import { currentUnits } from '../lib/units.js';
import { NO_SLED } from '../model/sleds.js';
import { say, showAnswer } from './answer.js';
import { isWhole, linkTo, queryOf, QuestionForm, questionFromLink, withTheOther } from './question.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Equivalents, FleetTable, Sled } from '../model/types.js' */
/** @import { HowMuch } from './howmuch.js' */
/** @import { Question } from './question.js' */

const TYPING_MS = 250;

/** @type {Sled[]} */
let sleds = [];
let units = startFrame((chosen) => {
  units = chosen;
  form?.setUnits(units);
  answer(question);
});
let question = questionFromLink(location.search);
/** @type {QuestionForm|undefined} */
let form;
/** @type {AbortController|undefined} */
let controller;
/** @type {ReturnType<typeof setTimeout>|undefined} */
let timer;
/**
 * The answer to the link's question, requested before the sleds have come, which saves a round trip.
 * @type {{asked: Question, units: Units, equivalents: Promise<Equivalents>}|undefined}
 */
let prefetched;
/** Shows what stands here before anything is asked, once loaded. @type {Promise<(units: Units) => void>|undefined} */
let first;
/** The question of the weight, once two weighed sleds were asked about. @type {HowMuch|undefined} */
let howMuch;
/** The last table and its parameters. @type {{about: string, fleet: FleetTable}|undefined} */
let table;

const answerBox = byId('answer', HTMLElement);
const peek = byId('peek', HTMLAnchorElement);

start();

async function start() {
  if (isWhole(question)) {
    if (!isFromServer(answerBox)) say({ headline: 'Looking it up…', meaning: '' });
    prefetched = { asked: question, units, equivalents: equivalentsTo(question) };
    prefetched.equivalents.catch(() => {}); // reported where it is awaited
  }
  try {
    sleds = await getAll('/v1/sleds');
  } catch (error) {
    if (isFromServer(answerBox) && error instanceof Problem && error.isTemporary) offerAgain(start);
    else failed(error, start);
    return;
  }
  const inUse = sleds.filter(({ retired }) => !retired);
  const measured = sleds.filter(({ readings }) => readings > 0);
  if (sleds.length < 2 || inUse.length === 0 || (measured.length < 2 && !isWhole(question))) {
    await welcome();
    return;
  }
  question = withTheOther(question, sleds);
  form = new QuestionForm(sleds, units, { changed, submitted: toAnswer });
  form.show(question);
  window.addEventListener('popstate', restored);
  watchAnswer();
  answer(question);
}

/** @param {Question} now @param {boolean} whileTyping */
function changed(now, whileTyping) {
  clearTimeout(timer);
  const next = { ...now };
  if (whileTyping) {
    timer = setTimeout(() => apply(next, true), TYPING_MS);
  } else {
    apply(next, false);
  }
}

/** @param {Question} next @param {boolean} sameStep  replaces the history entry instead of adding one */
function apply(next, sameStep) {
  question = next;
  const link = linkTo(question, units);
  if (link !== location.pathname + location.search) {
    if (sameStep) history.replaceState(null, '', link);
    else history.pushState(null, '', link);
  }
  answer(question);
}

/** Navigation back or forward. */
function restored() {
  question = questionFromLink(location.search);
  units = currentUnits();
  showUnits(units);
  form?.setUnits(units);
  form?.show(question);
  answer(question);
}

/** @param {Question} asked */
async function answer(asked) {
  controller?.abort();
  controller = new AbortController();
  const { signal } = controller;
  byId('main', HTMLElement).classList.toggle('first', !isWhole(asked));
  if (!isWhole(asked)) {
    prompt(asked);
    revealForm();
    showFirst();
    showSteps().catch(() => {}); // next time; until then there is the question
  } else {
    if (!isFromServer(answerBox)) answerBox.setAttribute('aria-busy', 'true');
    try {
      const known = prefetched?.asked === asked && prefetched.units === units ? prefetched.equivalents : equivalentsTo(asked, signal);
      prefetched = undefined;
      const [equivalents, showWeight] = await Promise.all([known, weightFor(asked, signal)]);
      if (signal.aborted) return;
      const { title, line } = showAnswer(equivalents, asked, sleds, units);
      showWeight();
      revealForm();
      setTitle(title);
      peek.textContent = line;
      if (equivalents.answers[0].nearest && asked.sled !== NO_SLED) arrived().catch(() => {});
      const { shareButton } = await import('../lib/share.js'); // not needed for the answer
      if (signal.aborted) return;
      byId('details', HTMLDivElement).append(shareButton(new URL(linkTo(asked, units), location.href).href, line));
    } catch (error) {
      if (signal.aborted) return;
      failed(error, () => answer(asked));
      revealForm();
    }
  }
  await tableFor(asked, signal);
}

/**
 * Asks how much in the box, where both sleds were weighed. The result shows it; a crew without a scale loads and sees nothing of it.
 * @param {Question} asked
 * @param {AbortSignal} signal
 * @returns {Promise<() => void>}
 */
async function weightFor(asked, signal) {
  const weighed = (/** @type {string} */ id) => sleds.some((sled) => sled.id === id && sled.weighings !== undefined);
  if (!weighed(asked.sled) || !weighed(asked.on)) return () => howMuch?.hide();
  const { HowMuch, weightsFor } = await import('./howmuch.js');
  // What is refused of it leaves the answer as it is, and is said beside its form.
  const weights = await weightsFor(asked, units, signal).catch((error) => /** @type {Error} */ (error));
  howMuch ??= new HowMuch(units, (weight) => {
    if (form) form.weight = weight;
    apply({ ...question, weight }, false);
  });
  return () => howMuch?.show(asked, { asked: nameOf(asked.sled, sleds), on: nameOf(asked.on, sleds) }, weights, units);
}

/** Shows the next show and the ladders. The question does not wait for them. */
async function showFirst() {
  first ??= import('./first.js').then((part) => part.showFirst(sleds, units));
  try {
    (await first)(units);
  } catch {
    first = undefined; // next time; until then there is the question
    byId('next-show', HTMLElement).hidden = true;
  }
}

/** Shows the form, once the answer above it is there and it does not move. */
function revealForm() {
  byId('question', HTMLFormElement).classList.remove('waiting');
}

/** @param {Question} asked @param {AbortSignal} [signal] @returns {Promise<Equivalents>} */
function equivalentsTo(asked, signal) {
  return get('/v1/equivalents', { query: queryOf(asked, units), signal });
}

/** @param {Question} asked @param {AbortSignal} signal */
async function tableFor(asked, signal) {
  const about = JSON.stringify([asked.sled, asked.start]);
  if (!sleds.some(({ id }) => id === asked.sled)) {
    byId('fleet-table', HTMLElement).hidden = true;
    return;
  }
  try {
    if (table?.about !== about) {
      const fleet = /** @type {FleetTable} */ (await get('/v1/table', { query: { reference: asked.sled, start_ft: asked.start }, signal }));
      table = { about, fleet };
    }
    const { showTable } = await import('./table.js');
    showTable(table.fleet, asked, sleds, units);
    if (!isWhole(asked)) putText('caution', table.fleet.caution); // an answer has its own
  } catch (error) {
    if (!signal.aborted) byId('fleet-table', HTMLElement).hidden = true;
  }
}

/** Asks for what is missing in the question. @param {Question} asked */
function prompt(asked) {
  setTitle('Tonight');
  byId('details', HTMLDivElement).hidden = true;
  howMuch?.hide();
  peek.textContent = '';
  peek.hidden = true;
  const missing = [];
  if (!asked.sled) missing.push('the sled you know');
  if (asked.sled === NO_SLED) missing.push(...(asked.topOut > 0 ? [] : ['the distance']));
  else if (!asked.gear) missing.push('its gear');
  if (!asked.on || asked.on === asked.sled) missing.push('tonight’s sled');
  say({
    headline: 'Which gear tops out nearest?',
    meaning: missing.length === 3
      ? 'A class is used to one gear on one sled. Pick it, and the sled that is here tonight.'
      : `Still to pick: ${missing.join(', ')}.`,
  });
}

/** @param {unknown} error @param {() => void} again */
function failed(error, again) {
  const problem = error instanceof Problem ? error : new Problem(0, 'Something went wrong', 'The page could not show the answer.');
  setTitle('Tonight');
  byId('details', HTMLDivElement).hidden = true;
  howMuch?.hide();
  peek.textContent = '';
  peek.hidden = true;
  const faults = problem.faults.map(({ detail }) => detail).join(' ');
  say({
    headline: problem.isTemporary ? 'No answer just now.' : 'This fleet cannot answer that.',
    meaning: faults || problem.message,
    level: 'unknown',
  });
  if (problem.isTemporary) offerAgain(again);
}

/** @param {() => void} again */
function offerAgain(again) {
  putParts('next-step', el('button', { type: 'button', onclick: again }, 'Try again'));
}

/** Shows the first steps in place of the question when there is nothing to compare. */
async function welcome() {
  byId('question', HTMLFormElement).hidden = true;
  byId('next-show', HTMLElement).hidden = true;
  const [{ firstSteps }, { setOnTheWay }] = await Promise.all([import('./firststeps.js'), import('./ontheway.js')]);
  setOnTheWay(true); // before a step is there to be followed
  const none = sleds.length === 0;
  say({
    headline: none ? 'No sleds yet.' : sleds.length === 1 ? 'One sled is not enough.' : 'Nothing to compare yet.',
    meaning: none
      ? 'This page says which gear on one sled tops out nearest to a gear on another. Three steps lead there.'
      : 'Three steps lead to the first answer.',
  });
  byId('next-step', HTMLParagraphElement).after(firstSteps(sleds));
}

/** Shows the first steps below the question, where this browser is on the way to its first answer. */
async function showSteps() {
  const { isOnTheWay } = await import('./ontheway.js');
  if (!isOnTheWay()) return;
  const { firstSteps } = await import('./firststeps.js');
  document.querySelector('.first-steps')?.remove();
  if (isOnTheWay()) byId('question', HTMLFormElement).after(firstSteps(sleds));
}

/** The steps to the first answer are done. */
async function arrived() {
  document.querySelector('.first-steps')?.remove();
  (await import('./ontheway.js')).setOnTheWay(false);
}

function toAnswer() {
  answerBox.focus({ preventScroll: true });
  answerBox.scrollIntoView({ block: 'start' });
}

/** Shows the answer in one line at the bottom while the answer is scrolled out of view. */
function watchAnswer() {
  new IntersectionObserver(([entry]) => {
    peek.hidden = entry.isIntersecting || !peek.textContent;
  }, { threshold: 0.3 }).observe(answerBox);
  peek.addEventListener('click', (event) => {
    event.preventDefault();
    toAnswer();
  });
}
