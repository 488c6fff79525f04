// @ts-check
// The question of the Tonight page: its form and its link.

import { byId, el, putText } from '../lib/dom.js';
import { LengthField, StartField, startIn, startInLink } from '../lib/lengthfield.js';
import { noted } from '../lib/units.js';
import { chosenGear, gearChoices } from '../model/gears.js';
import { NO_SLED, offerSleds } from '../model/sleds.js';
import { startWords } from '../model/words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sled } from '../model/types.js' */

/**
 * The question. Empty when open; start in feet. Where sled is NO_SLED, it is asked by a distance, `topOut`, in feet, 0 when open.
 * @typedef {{sled: string, gear: string, topOut: number, start: number, on: string, weight?: WeightQuestion}} Question
 */

/**
 * What is in the box of the sled asked about, in pounds, and where both pans are to carry the same.
 * @typedef {{inBox: number, onPan?: number, finish?: number, matchAt?: string}} WeightQuestion
 */

// Of a weight in links, always in pounds and feet.
const WEIGHT_IN_LINK = { inBox: 'in_box', onPan: 'on_pan', finish: 'finish' };

/** @param {string} search @returns {Question} */
export function questionFromLink(search) {
  const link = new URLSearchParams(search);
  return {
    sled: link.has('top_out') ? NO_SLED : link.get('sled') ?? '',
    gear: link.get('gear') ?? '',
    topOut: startIn(link, 'top_out'),
    start: startIn(link),
    on: link.get('on') ?? '',
    weight: weightFromLink(link),
  };
}

/** @param {URLSearchParams} link @returns {WeightQuestion|undefined} */
function weightFromLink(link) {
  const number = (/** @type {string} */ name) => {
    const value = Number(link.get(name) || NaN);
    return value >= 0 ? value : undefined;
  };
  const inBox = number('in_box');
  return inBox === undefined ? undefined
    : { inBox, onPan: number('on_pan'), finish: number('finish'), matchAt: link.get('match_at') ?? undefined };
}

/**
 * The link to a question, with the units. Start positions in links are always in feet.
 * @param {Question} question
 * @param {Units} units
 */
export function linkTo(question, units) {
  const link = new URLSearchParams();
  if (question.sled === NO_SLED) link.set('top_out', startInLink(question.topOut));
  else if (question.sled) link.set('sled', question.sled);
  if (question.gear) link.set('gear', question.gear);
  link.set('start', startInLink(question.start));
  if (question.on) link.set('on', question.on);
  for (const [name, inLink] of Object.entries(WEIGHT_IN_LINK)) {
    const value = question.weight?.[/** @type {keyof typeof WEIGHT_IN_LINK} */ (name)];
    if (value !== undefined) link.set(inLink, startInLink(value));
  }
  if (question.weight?.matchAt) link.set('match_at', question.weight.matchAt);
  link.set('units', units);
  return `/?${link}`;
}

/**
 * The parameters of a question, of its answer and of its drawing alike.
 * @param {Question} question
 * @param {Units} units
 * @returns {Record<string, string|number>}
 */
export function queryOf({ sled, gear, topOut, start, on }, units) {
  return sled === NO_SLED ? { top_out_ft: topOut, start_ft: start, on, units } : { sled, gear, start_ft: start, on, units };
}

/** @param {Question} question */
export function isWhole(question) {
  if (question.sled === NO_SLED) return question.topOut > 0 && question.on !== '';
  return question.sled !== '' && question.gear !== '' && question.on !== '' && question.sled !== question.on;
}

/**
 * The question with the other sled as tonight's, where two are in use and one of them is asked about.
 * @param {Question} question
 * @param {Sled[]} sleds
 * @returns {Question}
 */
export function withTheOther(question, sleds) {
  const inUse = sleds.filter(({ retired }) => !retired).map(({ id }) => id);
  if (question.on !== '' || inUse.length !== 2 || !inUse.includes(question.sled)) return question;
  return { ...question, on: inUse[1 - inUse.indexOf(question.sled)] };
}

export class QuestionForm {
  #form = byId('question', HTMLFormElement);
  #sled = byId('sled', HTMLSelectElement);
  #gears = byId('gears', HTMLDivElement);
  #on = byId('on', HTMLSelectElement);
  #startInput = byId('start', HTMLInputElement);
  #farInput = byId('far', HTMLInputElement);
  #far;
  #startWords = byId('start-words', HTMLParagraphElement);
  #start;
  #sleds;
  #units;
  /** @type {Question} */
  #asked = { sled: '', gear: '', topOut: 0, start: 0, on: '' };

  /**
   * @param {Sled[]} sleds
   * @param {Units} units
   * @param {{changed: (question: Question, typing: boolean) => void, submitted: () => void}} callbacks
   */
  constructor(sleds, units, callbacks) {
    this.#sleds = sleds;
    this.#units = units;
    this.#start = new StartField(this.#startInput, units);
    this.#far = new LengthField(this.#farInput, units);
    this.#form.addEventListener('change', (event) => {
      this.#take(event.target);
      callbacks.changed(this.#asked, false);
    });
    this.#startInput.addEventListener('input', () => {
      if (this.#readStart()) callbacks.changed(this.#asked, true);
    });
    this.#farInput.addEventListener('input', () => {
      if (this.#readFar()) callbacks.changed(this.#asked, true);
    });
    this.#form.addEventListener('submit', (event) => {
      event.preventDefault();
      this.#readStart();
      this.#readFar();
      callbacks.changed(this.#asked, false);
      callbacks.submitted();
    });
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    this.#start.setUnits(units);
    this.#far.setUnits(units);
    this.#describeStart();
  }

  /** @param {WeightQuestion|undefined} weight */
  set weight(weight) {
    this.#asked.weight = weight;
  }

  /** Fills the form. @param {Question} question */
  show(question) {
    this.#asked = { ...question };
    this.#fillSelects();
    this.#fillGears();
    this.#start.feet = question.start;
    this.#far.feet = question.topOut || undefined;
    this.#describeStart();
  }

  /** @param {EventTarget|null} changed */
  #take(changed) {
    if (changed === this.#sled) {
      const before = this.#asked.sled;
      this.#asked.sled = this.#sled.value;
      this.#asked.gear = '';
      this.#asked.weight = undefined; // it was of the sled before
      // The same sled twice: swap them.
      if (this.#asked.on === this.#asked.sled) this.#asked.on = before === NO_SLED ? '' : before;
      this.#asked = withTheOther(this.#asked, this.#sleds);
      this.#fillGears();
    }
    if (changed !== this.#sled) this.#asked.on = this.#on.value;
    this.#asked.gear = chosenGear(this.#gears);
    this.#readStart();
    this.#fillSelects();
  }

  /** Reads the start position, or shows its fault. */
  #readStart() {
    const feet = this.#start.feet;
    if (feet === null) {
      this.#startInput.setAttribute('aria-invalid', 'true');
      this.#startWords.className = 'fault';
      this.#startWords.textContent = this.#start.fault;
      return false;
    }
    this.#startInput.removeAttribute('aria-invalid');
    this.#startWords.className = 'hint';
    this.#asked.start = feet;
    this.#describeStart();
    return true;
  }

  /** Reads the distance, or shows its fault. */
  #readFar() {
    const feet = this.#far.feet;
    this.#farInput.setAttribute('aria-invalid', String(feet === null));
    putText('far-fault', feet === null ? this.#far.fault : '');
    this.#asked.topOut = feet ?? 0;
    return feet !== null;
  }

  #describeStart() {
    const sled = this.#sleds.find(({ id }) => id === this.#asked.sled);
    this.#start.railMarkFt = sled?.rail_mark_ft || 0.5;
    const travel = sled?.travel_ft === undefined ? '' : ` Travel ${noted(sled.travel_ft, this.#units)}.`;
    this.#startWords.textContent = (this.#asked.start === 0
      ? 'Full back: the box hard against the rear stop.'
      : `${startWords(this.#asked.start, this.#units)} of full back.`) + travel;
  }

  #fillSelects() {
    const { sled, on } = this.#asked;
    offerSleds(this.#sled, this.#sleds, sled, 'Pick a sled', { distance: 'No sled: a distance' });
    offerSleds(this.#on, this.#sleds, on, 'Pick a sled', { taken: sled });
  }

  #fillGears() {
    byId('gear-field', HTMLFieldSetElement).hidden = this.#asked.sled === NO_SLED;
    byId('far-field', HTMLDivElement).hidden = this.#asked.sled !== NO_SLED;
    const sled = this.#sleds.find(({ id }) => id === this.#asked.sled);
    if (!sled) {
      this.#gears.replaceChildren(el('p', { class: 'hint' }, 'Pick the sled first.'));
      return;
    }
    const labels = sled.gears.map(({ label }) => label);
    if (!labels.includes(this.#asked.gear)) this.#asked.gear = '';
    this.#gears.replaceChildren(...gearChoices('gear', labels, this.#asked.gear));
  }
}
