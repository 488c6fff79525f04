// @ts-check
// The form for a reading: fields that carry over to the next one, fields by ending, faults.

import { today } from '../lib/dates.js';
import { byId, chooseIn, chosenIn, control, radios } from '../lib/dom.js';
import { submitting, throwFaults } from '../lib/forms.js';
import { LengthField } from '../lib/lengthfield.js';
import { noted } from '../lib/units.js';
import { Context, STAYING } from './context.js';
import { NumberPad } from './pad.js';
import { loadDraft, saveDraft } from './saved.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Ended, Sled } from '../model/types.js' */
/** @import { Body } from './visit.js' */

// The API's limit, ft.
const MIN_DISTANCE_FT = 1;
// The API's default ± of a stated top-out, ft.
const PLUS_MINUS_FT = 8;
// A second submit within this time on an empty form is a double tap, and is ignored. Our own choice.
const DOUBLE_TAP_MS = 700;
const LENGTHS = /** @type {const} */ (['start_ft', 'distance_ft', 'end_ft', 'plus_minus_ft']);
const OTHER_FIELDS = [...STAYING.map(({ name }) => name), 'note', 'stated_by'];

export class NoteForm {
  #form = byId('note-form', HTMLFormElement);
  #gears = byId('note-gears', HTMLDivElement);
  #stopped = byId('note-stopped', HTMLDivElement);
  #short = byId('note-short', HTMLButtonElement);
  #units;
  #context;
  #lengths;
  #corrects;
  /** The id of the reading that the one in the form replaces; empty for none. */
  replaces = '';
  /** @type {Sled|undefined} */
  #sled;
  #submittedAt = -Infinity;
  /** The field in which Enter was pressed. @type {HTMLInputElement|undefined} */
  #enterField;

  /**
   * @param {Units} units
   * @param {{submitted: (body: Body) => void, startChanged: (startFt: number) => void}} callbacks
   * @param {string} corrects  id of the reading to correct; empty for a new one
   */
  constructor(units, callbacks, corrects) {
    this.#units = units;
    this.#corrects = this.replaces = corrects;
    this.#context = new Context(this.#form, units);
    const field = (/** @type {string} */ name) => new LengthField(control(this.#form, name), units);
    this.#lengths = {
      start_ft: field('start_ft'), distance_ft: field('distance_ft'), end_ft: field('end_ft'), plus_minus_ft: field('plus_minus_ft'),
    };
    new NumberPad(byId('note-pad', HTMLDivElement), byId('note-pad-switch', HTMLButtonElement),
      ['distance_ft', 'start_ft', 'end_ft', 'plus_minus_ft'].map((name) => control(this.#form, name)));
    this.setUnits(units);
    this.#short.addEventListener('click', () => this.#stoppedShort());
    this.#form.addEventListener('input', () => this.#saveDraft());
    control(this.#form, 'start_ft').addEventListener('input', () => callbacks.startChanged(this.startFt));
    for (const type of /** @type {const} */ (['keydown', 'keypress', 'keyup'])) {
      this.#form.addEventListener(type, (event) => this.#onEnter(event));
    }
    this.#form.addEventListener('submit', (event) => {
      event.preventDefault();
      if (performance.now() - this.#submittedAt < DOUBLE_TAP_MS && control(this.#form, 'distance_ft').value === '') return;
      const button = event.submitter instanceof HTMLButtonElement ? event.submitter : undefined;
      submitting(this.#form, async () => {
        const body = this.#read(/** @type {Ended} */ (button?.value ?? ''));
        if (!this.#corrects) this.#context.save(this.#sled?.id ?? '');
        this.#reset();
        this.#submittedAt = performance.now();
        callbacks.submitted(body);
      }).then(() => {
        if (!this.#form.querySelector('.faults')) this.focus();
      });
    });
  }

  /** The start position; 0 when it is not a length. */
  get startFt() {
    return this.#lengths.start_ft.feet ?? 0;
  }

  focus() {
    control(this.#form, 'distance_ft').focus();
  }

  /** @param {Sled} sled */
  show(sled) {
    const before = this.#sled;
    this.#sled = sled;
    const labels = sled.gears.map(({ label }) => ({ value: label, label }));
    this.#gears.replaceChildren(...radios('gear', labels, ''));
    for (const name of LENGTHS) this.#lengths[name].railMarkFt = sled.rail_mark_ft;
    if (before) {
      this.#lengths.start_ft.feet = 0;
      this.#context.newSled();
      this.#saveDraft();
    } else {
      this.#restore(sled);
    }
    this.#form.hidden = false;
  }

  /** Restores the draft of an earlier page load, else carries over from the last reading. @param {Sled} sled */
  #restore(sled) {
    this.#context.carryOver(sled.id);
    const draft = loadDraft(this.#corrects);
    if (draft?.sled !== sled.id) return;
    const units = this.#units;
    this.replaces = draft.replaces ?? this.replaces;
    this.#putUnits(draft.units);
    for (const [name, value] of Object.entries(draft.values)) {
      if (!this.replaces && draft.on !== today() && STAYING.some((field) => field.name === name)) continue; // another day
      if (name === 'gear') chooseIn(this.#gears, value);
      else if (this.#form.elements.namedItem(name)) control(this.#form, name).value = value;
    }
    this.#putUnits(units);
    this.#openStopped(draft.stopped);
    this.#context.showSummary();
  }

  /** Returns to new readings after a correction. */
  stopCorrecting() {
    this.fill({});
    saveDraft(this.#corrects, undefined);
    this.#corrects = '';
    if (this.#sled) this.#restore(this.#sled);
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#putUnits(units);
    this.#form.dataset.units = units;
    byId('note-plus-minus-default', HTMLSpanElement).textContent = noted(PLUS_MINUS_FT, units);
    if (this.#sled) this.#saveDraft();
  }

  /** @param {Units} units */
  #putUnits(units) {
    this.#units = units;
    for (const name of LENGTHS) this.#lengths[name].setUnits(units);
    this.#context.setUnits(units);
  }

  /** Fills the form with a reading to correct, or with a refused one. @param {Partial<Body>} reading */
  fill(reading) {
    this.replaces = reading.replaces ?? '';
    chooseIn(this.#gears, reading.gear);
    for (const name of LENGTHS) this.#lengths[name].feet = reading[name];
    this.#lengths.start_ft.feet = reading.start_ft ?? 0;
    // A day without a name is called after its date, and goes with it.
    this.#context.fill(reading.day === reading.measured_on ? { ...reading, day: undefined } : reading);
    control(this.#form, 'note').value = reading.note ?? '';
    control(this.#form, 'stated_by').value = reading.ended === 'stated' ? reading.by ?? '' : '';
    this.#openStopped(reading.ended === 'stopped-short');
    byId('note-rare', HTMLDetailsElement).open = reading.ended === 'stated' || reading.note !== undefined;
    for (const button of this.#form.querySelectorAll('button[name="ended"], #note-short')) {
      button.classList.toggle('was', (button.id === 'note-short' ? 'stopped-short' : button.getAttribute('value')) === reading.ended);
    }
    this.#saveDraft();
    this.focus();
  }

  /** @param {Ended} ended @returns {Body} @throws {Problem} */
  #read(ended) {
    /** @type {Fault[]} */
    const faults = [];
    const gear = chosenIn(this.#gears);
    if (!gear) faults.push({ at: 'gear', detail: 'Choose the gear.' });
    const start = this.#feet('start_ft', faults) ?? 0;
    const distance = this.#feet('distance_ft', faults, 'How far was the sled pulled?');
    const date = control(this.#form, 'measured_on').value;
    if (!date) faults.push({ at: 'measured_on', detail: 'Give the date.' });
    /** @type {Partial<Body>} */
    const more = {};
    if (ended === 'stopped-short') {
      more.end_ft = this.#feet('end_ft', faults, 'Where did the box stand when the pull ended?');
    }
    if (ended === 'stated') more.plus_minus_ft = this.#feet('plus_minus_ft', faults);
    Object.assign(more, this.#context.read(faults), { note: control(this.#form, 'note').value.trim() || undefined });
    if (ended === 'stated') more.by = control(this.#form, 'stated_by').value.trim() || more.by;
    this.#checkSled(start, distance, more.end_ft, faults);
    throwFaults(faults);
    return {
      ...more, gear, start_ft: start, distance_ft: distance ?? 0, ended, measured_on: date, replaces: this.replaces || undefined,
    };
  }

  /**
   * Checks that need no server, so that faults show at once. The API checks the rest.
   * @param {number} start @param {number|undefined} distance @param {number|undefined} end @param {Fault[]} faults
   */
  #checkSled(start, distance, end, faults) {
    const { travel_ft: travel, take_up_ft: takeUp = 0 } = this.#sled ?? {};
    const at = (/** @type {number} */ feet) => noted(feet, this.#units);
    if (distance !== undefined && (distance <= takeUp || distance < MIN_DISTANCE_FT)) {
      const detail = distance <= 0 ? 'The distance has to be more than nothing.'
        : distance < MIN_DISTANCE_FT ? `No box tops out within ${at(MIN_DISTANCE_FT)}.`
          : `The slack before the box moves (take-up) is already ${at(takeUp)}.`;
      faults.push({ at: 'distance_ft', detail });
    }
    if (travel === undefined) return;
    if (start >= travel) {
      faults.push({ at: 'start_ft', detail: `The box tops out at ${at(travel)} of travel; it cannot start at ${at(start)}.` });
    }
    if (end !== undefined && end >= travel) {
      faults.push({ at: 'end_ft', detail: `At ${at(end)} the box is at the top (${at(travel)} of travel): that pull topped out.` });
    }
  }

  /** @param {typeof LENGTHS[number]} name @param {Fault[]} faults @param {string} [missing]  the fault when empty */
  #feet(name, faults, missing) {
    const feet = this.#lengths[name].feet;
    if (feet === null) faults.push({ at: name, detail: this.#lengths[name].fault });
    if (feet === undefined && missing) faults.push({ at: name, detail: missing });
    return feet ?? undefined;
  }

  /** Empties the fields of a single pull. Gear, start and circumstances stay. The ending has no default. */
  #reset() {
    this.replaces = '';
    for (const name of /** @type {const} */ (['distance_ft', 'end_ft', 'plus_minus_ft'])) this.#lengths[name].feet = undefined;
    for (const name of ['note', 'stated_by']) control(this.#form, name).value = '';
    for (const button of this.#form.querySelectorAll('.was')) button.classList.remove('was');
    byId('note-rare', HTMLDetailsElement).open = false;
    this.#openStopped(false);
    this.#saveDraft();
  }

  #stoppedShort() {
    this.#openStopped(true);
    this.#saveDraft();
    const end = control(this.#form, 'end_ft');
    end.focus();
    this.#stopped.scrollIntoView({ block: 'nearest' });
  }

  /** @param {boolean} open */
  #openStopped(open) {
    this.#stopped.hidden = !open;
    this.#short.setAttribute('aria-expanded', String(open));
  }

  /**
   * Enter moves to the next field and never submits. The focus moves on keyup, so that a held key does not press the next button.
   * @param {KeyboardEvent} event
   */
  #onEnter(event) {
    if (event.key !== 'Enter' || !(event.target instanceof HTMLInputElement)) return;
    event.preventDefault();
    if (event.type === 'keydown') this.#enterField = event.target;
    if (event.type !== 'keyup' || this.#enterField !== event.target) return;
    this.#enterField = undefined;
    const { name } = event.target;
    const button = name === 'distance_ft' ? 'topped-out' : name === 'end_ft' ? 'stopped-short' : '';
    const next = button ? `button[value="${button}"]` : '#note-distance';
    const target = this.#form.querySelector(next);
    if (target instanceof HTMLElement) target.focus();
  }

  /** Stores the draft, so that a reload keeps it. */
  #saveDraft() {
    const typed = [...LENGTHS, ...OTHER_FIELDS].map((name) => [name, control(this.#form, name).value]);
    const values = { ...Object.fromEntries(typed), gear: chosenIn(this.#gears) };
    const { replaces } = this;
    const stopped = !this.#stopped.hidden;
    saveDraft(this.#corrects, { on: today(), sled: this.#sled?.id ?? '', units: this.#units, values, stopped, replaces });
  }
}
