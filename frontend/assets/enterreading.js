// @ts-check
// The form that takes readings one after the other, and the list of those just entered.

import { get } from './api.js';
import { byId, control, el, radios } from './dom.js';
import { feetIn, fillFeet, numberIn, refuse, submitting, switchUnits } from './forms.js';
import { discard, onChange, send, waiting } from './queue.js';
import { mountQueue } from './queueview.js';
import { StartField } from './startfield.js';
import { noted, plusMinus, withPlusMinus } from './units.js';
import { dateWords, endedWords, sentence, startWords } from './words.js';

/** @typedef {import('./types.js').Units} Units */
/** @typedef {import('./types.js').Sled} Sled */
/** @typedef {import('./types.js').Chart} Chart */
/** @typedef {import('./types.js').Reading} Reading */
/** @typedef {import('./types.js').TopOut} TopOut */
/** @typedef {import('./types.js').Fault} Fault */
/** @typedef {import('./types.js').Ended} Ended */

// What a stated figure is taken to be good for when nobody says; the API's own default.
const PLUS_MINUS_FT = 8;
const TEXTS = ['day', 'by', 'place', 'marked_by', 'taken_with', 'surface', 'weights', 'note'];
const NUMBERS = ['tyre_psi', 'speed_mph'];

export class EntryForm {
  #path;
  #units;
  #changed;
  #form = byId('enter-form', HTMLFormElement);
  #start;
  #sledName = '';
  /** The reading that the next one corrects. @type {Reading|undefined} */
  #replaces;
  /** The chart as shown, so that a new reading can be held against it. @type {Chart|undefined} */
  chart;

  /**
   * @param {string} sledPath
   * @param {Units} units
   * @param {() => Promise<void>} changed
   */
  constructor(sledPath, units, changed) {
    this.#path = sledPath;
    this.#units = units;
    this.#changed = changed;
    this.#start = new StartField(control(this.#form, 'start_ft'), units);
    this.setUnits(units);
    this.#today();
    mountQueue(byId('enter-queue', HTMLDivElement));
    this.#watchQueue();
    this.#form.addEventListener('change', () => this.#showFields());
    this.#form.addEventListener('reset', () => setTimeout(() => this.#cleared()));
    this.#form.addEventListener('submit', (event) => {
      event.preventDefault();
      submitting(this.#form, () => this.#send()).then(() => this.#toNext());
    });
  }

  /** @param {Sled} sled */
  show(sled) {
    this.#sledName = sled.name;
    const labels = sled.gears.map(({ label }) => ({ value: label, label }));
    byId('enter-gears', HTMLDivElement).replaceChildren(...radios('gear', labels, this.#chosen('gear')));
    this.#start.railMarkFt = sled.rail_mark_ft;
    for (const part of document.querySelectorAll('#enter, .jumps a[href="#enter"]')) part.toggleAttribute('hidden', sled.retired);
  }

  /** @param {Units} units */
  setUnits(units) {
    switchUnits(this.#form, this.#units, units);
    this.#start.setUnits(units);
    this.#units = units;
    byId('enter-plus-minus-default', HTMLSpanElement).textContent = noted(PLUS_MINUS_FT, units);
  }

  /** Fills the form with a reading that is to be corrected. @param {Reading} reading */
  correct(reading) {
    this.#replaces = reading;
    this.#choose('gear', reading.gear);
    this.#choose('ended', reading.ended);
    this.#start.feet = reading.start_ft;
    for (const name of ['distance_ft', 'end_ft', 'plus_minus_ft']) {
      fillFeet(control(this.#form, name), /** @type {any} */ (reading)[name], this.#units);
    }
    for (const name of ['measured_on', ...TEXTS, ...NUMBERS]) control(this.#form, name).value = String(/** @type {any} */ (reading)[name] ?? '');
    this.#showFields();
    const notice = byId('enter-replaces', HTMLParagraphElement);
    notice.hidden = false;
    notice.textContent = `This corrects ${reading.gear}, ${noted(reading.distance_ft, this.#units)}, of ${dateWords(reading.measured_on)}. ` +
      'The earlier reading is set aside and stays in the list.';
    byId('enter', HTMLElement).scrollIntoView();
    control(this.#form, 'distance_ft').focus();
  }

  #today() {
    const now = new Date();
    const local = new Date(now.getTime() - now.getTimezoneOffset() * 60_000);
    const date = control(this.#form, 'measured_on');
    if (!date.value) date.value = local.toISOString().slice(0, 10);
  }

  /** @param {string} name */
  #chosen(name) {
    const chosen = this.#form.querySelector(`input[name="${name}"]:checked`);
    return chosen instanceof HTMLInputElement ? chosen.value : '';
  }

  /** @param {string} name @param {string} value */
  #choose(name, value) {
    for (const choice of this.#form.querySelectorAll(`input[name="${name}"]`)) {
      if (choice instanceof HTMLInputElement) choice.checked = choice.value === value;
    }
  }

  #showFields() {
    const ended = this.#chosen('ended');
    byId('enter-end-field', HTMLDivElement).hidden = ended !== 'stopped-short';
    byId('enter-plus-minus-field', HTMLDivElement).hidden = ended !== 'stated';
  }

  async #send() {
    const reading = this.#read();
    const before = this.#chartAt(this.chart, reading.gear, reading.start_ft) ??
      this.#chartAt(await this.#fetchChart(reading.start_ft), reading.gear, reading.start_ft);
    const what = `${this.#sledName}: ${reading.gear}, ${noted(reading.distance_ft ?? 0, this.#units)}, ${endedWords(reading.ended)}`;
    const outcome = await send({ path: `${this.#path}/readings`, body: reading, label: what });
    if (outcome.status === 'refused') {
      // It stays in the form with the faults beside it, so that it need not stand in the queue as well.
      await discard(outcome.id);
      throw outcome.problem;
    }
    this.#readyForNext();
    if (outcome.status === 'waiting') {
      byId('entered-status', HTMLDivElement).textContent = `Kept on this device until there is signal: ${what}`;
      return;
    }
    const data = /** @type {Reading} */ (outcome.answer ?? { ...reading, id: '' });
    this.#announce(data, before, undefined);
    try {
      await this.#changed();
      const after = this.#chartAt(this.chart, data.gear, data.start_ft);
      this.#announce(data, before, after, this.chart?.checks.filter(({ reading: id }) => id === data.id).map(({ detail }) => detail));
    } catch {
      // The reading is kept; only what follows from it could not be fetched. The next reading fetches it again.
    }
  }

  /** What waited has arrived: everything that follows from the readings is fetched again. */
  async #watchQueue() {
    let before = (await waiting()).length;
    onChange(async () => {
      const now = (await waiting()).length;
      const fewer = now < before;
      before = now;
      // What the form itself is sending is announced by the form.
      if (fewer && !this.#form.querySelector('button:disabled')) this.#changed().catch(() => {}); // no signal again: next time
    });
  }

  #read() {
    /** @type {Fault[]} */
    const faults = [];
    const ended = this.#chosen('ended');
    const gear = this.#chosen('gear');
    if (!gear) faults.push({ at: 'gear', detail: 'Pick the gear.' });
    const start = this.#start.feet;
    if (start === null) faults.push({ at: 'start_ft', detail: 'The start position must be a number, 0 or more.' });
    const feet = (/** @type {string} */ name) => feetIn(control(this.#form, name), this.#units, faults);
    if (control(this.#form, 'distance_ft').value.trim() === '') faults.push({ at: 'distance_ft', detail: 'How far was the sled pulled?' });
    const distance = feet('distance_ft');
    if (!ended) faults.push({ at: 'ended', detail: 'Say how it ended: it decides what the reading is worth.' });
    if (!control(this.#form, 'measured_on').value) faults.push({ at: 'measured_on', detail: 'Give the date.' });
    /** @type {Record<string, unknown>} */
    const more = {};
    if (ended === 'stopped-short') {
      more.end_ft = feet('end_ft');
      if (control(this.#form, 'end_ft').value.trim() === '') faults.push({ at: 'end_ft', detail: 'Where on its travel did the box stop?' });
    }
    if (ended === 'stated') more.plus_minus_ft = feet('plus_minus_ft');
    for (const name of TEXTS) more[name] = control(this.#form, name).value.trim() || undefined;
    for (const name of NUMBERS) more[name] = numberIn(control(this.#form, name), faults);
    if (this.#replaces) more.replaces = this.#replaces.id;
    refuse(faults);
    return { gear, start_ft: start ?? 0, distance_ft: distance, ended: /** @type {Ended} */ (ended), measured_on: control(this.#form, 'measured_on').value, ...more };
  }

  /** @param {number} startFt @returns {Promise<Chart|undefined>} nothing without signal: a reading must not wait for it */
  async #fetchChart(startFt) {
    return /** @type {Promise<Chart>} */ (get(`${this.#path}/chart`, { query: { start_ft: startFt } })).catch(() => undefined);
  }

  /** @param {Chart|undefined} chart @param {string} gear @param {number} startFt */
  #chartAt(chart, gear, startFt) {
    return chart?.gears.find(({ label }) => label === gear)?.top_outs.find((at) => at.start_ft === startFt);
  }

  /** Gear, start, date and day stay; what belongs to one pull alone goes. */
  #readyForNext() {
    for (const name of ['distance_ft', 'end_ft', 'plus_minus_ft']) fillFeet(control(this.#form, name), undefined, this.#units);
    control(this.#form, 'note').value = '';
    // How a pull ended is asked each time and never guessed.
    this.#choose('ended', '');
    this.#cleared();
  }

  #cleared() {
    this.#replaces = undefined;
    byId('enter-replaces', HTMLParagraphElement).hidden = true;
    this.#today();
    this.#start.feet = this.#start.feet ?? 0;
    this.#showFields();
  }

  #toNext() {
    if (!this.#form.querySelector('.faults')) control(this.#form, 'distance_ft').focus();
  }

  /**
   * Shows the reading just entered and how it compares.
   * @param {Reading} reading
   * @param {TopOut|undefined} before  what the chart said before it
   * @param {TopOut|undefined} after   what it says now
   * @param {string[]} [remarks]
   */
  #announce(reading, before, after, remarks = []) {
    const words = [`${reading.gear}, ${noted(reading.distance_ft, this.#units)} from ${startWords(reading.start_ft, this.#units)}, ${endedWords(reading.ended)}.`,
      this.#fit(reading, before), this.#now(reading, after), ...remarks.map(sentence)].filter(Boolean);
    const list = byId('entered', HTMLOListElement);
    const item = el('li', { 'data-reading': reading.id }, el('strong', {}, words[0]), ` ${words.slice(1).join(' ')}`);
    const shown = list.firstElementChild;
    if (shown instanceof HTMLElement && shown.dataset.reading === reading.id) shown.replaceWith(item);
    else list.prepend(item);
    byId('entered-status', HTMLDivElement).textContent = `Kept: ${words.join(' ')}`;
  }

  /** @param {Reading} reading @param {TopOut|undefined} before */
  #fit(reading, before) {
    if (before === undefined || before.top_out_ft === null || before.low_ft === null || before.high_ft === null) {
      return reading.ended === 'topped-out' ? 'The first the chart knows of it.' : '';
    }
    const chart = withPlusMinus(before.top_out_ft, plusMinus(before.low_ft, before.high_ft), this.#units);
    if (reading.ended !== 'topped-out') return `The chart said ${chart} before it.`;
    const off = Math.round(reading.distance_ft - before.top_out_ft);
    const by = off === 0 ? 'Right on the chart' : `${noted(Math.abs(off), this.#units)} ${off > 0 ? 'later' : 'earlier'} than the chart`;
    return `${by}, which said ${chart} before it.`;
  }

  /** @param {Reading} reading @param {TopOut|undefined} after */
  #now(reading, after) {
    if (!after || after.top_out_ft === null || after.low_ft === null || after.high_ft === null) return '';
    return `The chart now says ${withPlusMinus(after.top_out_ft, plusMinus(after.low_ft, after.high_ft), this.#units)}.`;
  }
}
