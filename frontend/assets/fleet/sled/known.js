// @ts-check
// A known chart in one go: a grid of gears by start positions, stored as the readings of one day.

import { withKey } from '../../account/key.js';
import { address, Problem, request, Sending } from '../../lib/api.js';
import { today } from '../../lib/dates.js';
import { byId, control, el } from '../../lib/dom.js';
import { onSubmit, throwFaults } from '../../lib/forms.js';
import { readQuantity, switchFields } from '../../lib/quantities.js';
import { counted } from '../../lib/text.js';
import { currentUnits } from '../../lib/units.js';

/** @import { Fault } from '../../lib/api.js' */
/** @import { Units } from '../../lib/units.js' */
/** @import { Sled } from '../../model/types.js' */

/** @typedef {{cell: string, reading: {sled: string, gear: string, start_ft: number, distance_ft: number, ended: string}}} Cell */

const STARTS = 3; // columns at first
const OF_ALL = ['measured_on', 'by', 'plus_minus_ft']; // fields that every reading shares

export class KnownChart {
  #form = byId('known-form', HTMLFormElement);
  #status = byId('known-status', HTMLDivElement);
  #grid = byId('known-grid', HTMLDivElement);
  #sending = new Sending();
  #units = currentUnits();
  #starts = STARTS;
  #keepUnlikely = false;
  #sled;
  #saved;

  /** @param {Sled} sled @param {() => Promise<void>} saved */
  constructor(sled, saved) {
    this.#sled = sled;
    this.#saved = saved;
    control(this.#form, 'measured_on').value = today();
    this.#form.addEventListener('change', () => this.#showSource());
    this.#form.addEventListener('input', () => { this.#keepUnlikely = false; });
    byId('known-more', HTMLButtonElement).addEventListener('click', () => this.#addStart());
    this.#grid.addEventListener('keydown', (event) => this.#goDown(event));
    onSubmit(this.#form, () => this.#send());
    this.#draw();
    switchFields(this.#form, this.#units, this.#units);
    this.#showSource();
    this.#form.hidden = false;
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.#form, this.#units, units);
    this.#units = units;
  }

  #draw() {
    this.#grid.replaceChildren(el('table', { class: 'known' },
      el('caption', { class: 'unseen' }, `Where the gears of ${this.#sled.name} top out, by start position`),
      el('thead', {}, el('tr', {}, el('th', { scope: 'col' }, 'Gear'),
        ...Array.from({ length: this.#starts }, (_, place) => this.#head(place)))),
      el('tbody', {}, ...this.#sled.gears.map(({ label }, row) => this.#row(label, row)))));
  }

  /** @param {string} label @param {number} row */
  #row(label, row) {
    return el('tr', {}, el('th', { scope: 'row' }, label),
      ...Array.from({ length: this.#starts }, (_, place) => this.#cell(label, row, place)));
  }

  /** Shows the gears of the sled as it is now. What is typed stays with its gear. @param {Sled} sled */
  setSled(sled) {
    const labels = sled.gears.map(({ label }) => label);
    const before = this.#sled.gears.map(({ label }) => label);
    this.#sled = sled;
    if (JSON.stringify(labels) === JSON.stringify(before)) return;
    const body = /** @type {HTMLTableSectionElement} */ (this.#grid.querySelector('tbody'));
    const rows = new Map([...body.rows].map((row, place) => [before[place], row]));
    body.replaceChildren(...labels.map((label, place) => {
      const row = rows.get(label) ?? this.#row(label, place);
      for (const input of row.querySelectorAll('input')) input.name = input.name.replace(/\d+/, String(place));
      return row;
    }));
  }

  /** @param {number} place */
  #head(place) {
    return place === 0 ? el('th', { scope: 'col' }, 'Full back')
      : el('th', { scope: 'col' }, el('div', { class: 'with-unit' }, field(`start_${place}`, `Start position ${place + 1}`),
        el('span', { 'data-unit': true }, 'ft forward')));
  }

  /** @param {string} label @param {number} row @param {number} place */
  #cell(label, row, place) {
    return el('td', {}, field(`cell_${row}_${place}`, `${label} ${place === 0 ? 'from full back' : `from start position ${place + 1}`}`));
  }

  #addStart() {
    const place = this.#starts++;
    const rows = [...this.#grid.querySelectorAll('tr')];
    rows[0].append(this.#head(place));
    this.#sled.gears.forEach(({ label }, row) => rows[row + 1].append(this.#cell(label, row, place)));
    switchFields(this.#grid, this.#units, this.#units);
    control(this.#form, `start_${place}`).focus();
  }

  /** Enter goes to the gear below, and from the last one to the button that saves. @param {KeyboardEvent} event */
  #goDown(event) {
    if (event.key !== 'Enter' || !(event.target instanceof HTMLInputElement)) return;
    event.preventDefault();
    const [, row, place] = /^cell_(\d+)_(\d+)$/.exec(event.target.name) ?? ['', '-1', event.target.name.replace('start_', '')];
    const below = this.#form.elements.namedItem(`cell_${Number(row) + 1}_${place}`) ?? this.#form.querySelector('[type=submit]');
    if (below instanceof HTMLElement) below.focus();
  }

  get #stated() {
    return new FormData(this.#form).get('source') === 'stated';
  }

  #showSource() {
    byId('known-stated', HTMLDivElement).hidden = !this.#stated;
  }

  async #send() {
    this.#status.replaceChildren();
    const cells = this.#read();
    const body = cells.map(({ reading }) => reading);
    const query = this.#keepUnlikely ? { unlikely: 'keep' } : {};
    try {
      const { data } = /** @type {{data: {accepted: number}}} */ (await withKey(() => request('POST', '/v1/readings',
        { body, query, idempotencyKey: this.#sending.keyFor(JSON.stringify([body, query])) })));
      this.#sending.finished();
      this.#draw();
      switchFields(this.#grid, this.#units, this.#units);
      this.#status.replaceChildren(el('p', { class: 'notice' },
        `${counted(data.accepted, 'reading')} saved as one day. The chart above goes by them. `,
        el('a', { href: address('/', { sled: this.#sled.id }) }, 'On to Tonight')));
      this.#keepUnlikely = false;
      await this.#saved();
    } catch (error) {
      throw error instanceof Problem ? this.#atCells(error, cells) : error;
    }
  }

  /** @returns {Cell[]} */
  #read() {
    /** @type {Fault[]} */
    const faults = [];
    const text = (/** @type {string} */ name) => control(this.#form, name).value.trim() || undefined;
    const source = new FormData(this.#form).get('source');
    if (!source) faults.push({ at: 'source', detail: 'Were they measured, or is it somebody’s word?' });
    if (!text('measured_on')) faults.push({ at: 'measured_on', detail: 'Of which day?' });
    if (this.#stated && !text('by')) faults.push({ at: 'by', detail: 'Whose word is it?' });
    const same = {
      sled: this.#sled.id, ended: this.#stated ? 'stated' : 'topped-out', measured_on: text('measured_on'),
      by: this.#stated ? text('by') : undefined,
      plus_minus_ft: this.#stated ? readQuantity(control(this.#form, 'plus_minus_ft'), this.#units, faults) : undefined,
    };
    /** @type {Cell[]} */
    const cells = [];
    for (let place = 0; place < this.#starts; place++) {
      const start = place === 0 ? 0 : readQuantity(control(this.#form, `start_${place}`), this.#units, faults);
      const missing = start === undefined && !faults.some(({ at }) => at === `start_${place}`);
      let used = false;
      this.#sled.gears.forEach(({ label }, row) => {
        const cell = `cell_${row}_${place}`;
        const distance = readQuantity(control(this.#form, cell), this.#units, faults);
        if (distance === undefined) return;
        used = true;
        cells.push({ cell, reading: { ...same, gear: label, start_ft: start ?? 0, distance_ft: distance } });
      });
      if (used && missing) faults.push({ at: `start_${place}`, detail: 'From which start position?' });
    }
    if (cells.length === 0 && faults.length === 0) faults.push({ at: 'cell_0_0', detail: 'Fill in at least one number.' });
    throwFaults(faults);
    return cells;
  }

  /**
   * The problem with its faults at the cells. One that is only a question may be answered.
   * @param {Problem} problem
   * @param {Cell[]} cells
   */
  #atCells(problem, cells) {
    /** @type {Fault[]} */
    const faults = [];
    for (const { at, row, detail } of problem.faults) {
      const name = at.replace(/^\[\d+\]\.?/, '');
      const cell = cells[(row ?? 0) - 1]?.cell ?? at;
      const place = OF_ALL.includes(name) ? name : name === 'start_ft' && !cell.endsWith('_0') ? cell.replace(/^cell_\d+/, 'start') : cell;
      if (!faults.some((fault) => fault.at === place && fault.detail === detail)) faults.push({ at: place, detail });
    }
    if (problem.question && problem.faults.length > 0) {
      const keep = () => {
        this.#keepUnlikely = true;
        this.#form.requestSubmit();
      };
      this.#status.replaceChildren(el('p', {}, el('button', { type: 'button', onclick: keep }, 'They are right: save them all the same')));
    }
    return new Problem(problem.status, problem.title, problem.message, faults);
  }
}

/** @param {string} name @param {string} label */
function field(name, label) {
  return el('input', { name, 'aria-label': label, 'data-kind': 'distance', inputmode: 'decimal', autocomplete: 'off' });
}
