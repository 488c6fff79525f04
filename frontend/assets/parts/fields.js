// @ts-check
// The fields of a driveline, for the correction form and the form for changes.

import { el } from '../lib/dom.js';
import { fillQuantity, finelyNoted, isEdited, readQuantity, switchFields } from '../lib/quantities.js';
import { PartsAxle } from './axle.js';
import { PARTS } from './words.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Kind } from '../lib/quantities.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Driveline, PartsGear, PartsSled } from './types.js' */

/** @typedef {{name: keyof Driveline, label: string, hint: string, kind?: Kind, unit?: string}} Spec */

const FEET_PER_MILE = 5280;

/** @type {Spec[]} */
const CHAIN = [
  { name: 'sprocket_teeth', label: 'Sprocket', unit: 'teeth', hint: 'The one that drives the chain of the box.' },
  { name: 'chain_pitch_in', label: 'Chain pitch', kind: 'pitch', hint: 'From pin to pin: 1.75 in for No. 140 chain.' },
  { name: 'box_ft_per_turn', label: 'Or measured: box in one turn', kind: 'length',
    hint: 'How far one turn of the last shaft moves the box. Where it is measured, it counts instead of teeth and pitch.' },
];
/** @type {Spec[]} */
const RATIOS = [
  { name: 'final_ratio', label: 'Final ratio', hint: 'Ring teeth over pinion teeth.' },
  { name: 'other_ratio', label: 'Any other ratio', hint: 'A transfer or a chain on the way. Empty is none.' },
];
/** @type {Spec} */
const TIRE = { name: 'tire_circumference_ft', label: 'Tire, rolling circumference', kind: 'length',
  hint: 'Loaded, rolled along the ground for one turn: of the axle that drives the box.' };
/** @type {Spec} */
const REVS = { name: 'tire_revs_per_mile', label: 'Or tire, turns a mile', hint: 'As its maker gives it, instead of the circumference.' };

/**
 * A labeled number field with its unit and a hint.
 * @param {string} id
 * @param {string} name
 * @param {{label: string, hint?: string, kind?: string, unit?: string}} spec
 */
export function numberField(id, name, { label, hint = '', kind, unit }) {
  const input = el('input', {
    id, name, inputmode: 'decimal', autocomplete: 'off', 'data-kind': kind, 'data-shown': '', 'aria-describedby': hint && `${id}-hint`,
  });
  const beside = (kind || unit) && el('span', kind ? { 'data-unit': true } : {}, unit ?? '');
  const note = el('p', { class: 'hint', id: `${id}-hint` }, hint);
  const element = el('div', { class: 'field' }, el('label', { for: id }, label), el('div', { class: 'with-unit' }, input, beside), note);
  return { input, note, element };
}

export class PartFields {
  #id;
  #units;
  #change;
  /** @type {Map<string, ReturnType<typeof numberField>>} */
  #fields = new Map();
  #axle;
  #gears = el('div', { class: 'gear-fields' });
  /** @type {PartsGear[]} */
  #noted = [];
  /** @type {Driveline} */
  #known = {};
  /** The element for the form. */
  element;

  /**
   * @param {string} id  prefix of the ids
   * @param {Units} units
   * @param {boolean} change  whether for a change: empty fields then leave a part as it is
   */
  constructor(id, units, change) {
    this.#id = id;
    this.#units = units;
    this.#change = change;
    this.#axle = new PartsAxle(id, change, () => this.#showRanges());
    const fields = (/** @type {Spec[]} */ specs) => el('div', { class: 'fields' }, ...specs.map((spec) => this.#field(spec)));
    const group = (/** @type {string} */ legend, /** @type {Node[]} */ ...parts) =>
      el('fieldset', { class: 'group' }, el('legend', {}, legend), ...parts);
    this.element = el('div', { 'data-at': 'driveline' },
      group('Chain drive of the box', fields(CHAIN)),
      this.#axle.element,
      group('Final drive and tires', fields([...RATIOS, TIRE, REVS])),
      el('fieldset', { class: 'group', 'data-at': 'gears' },
        el('legend', {}, change ? 'Gears with a new ratio' : 'Gears: the ratio of each'), this.#gears));
    switchFields(this.element, units, units);
    this.#showNow();
    // Two ways to give the tire's size; the last one typed counts.
    this.#input('tire_revs_per_mile').addEventListener('input', () => this.#only('tire_circumference_ft', 'tire_revs_per_mile'));
    this.#input('tire_circumference_ft').addEventListener('input', () => this.#only('tire_revs_per_mile', 'tire_circumference_ft'));
  }

  /** @param {Spec} spec */
  #field(spec) {
    const made = numberField(`${this.#id}-${spec.name}`, `driveline.${spec.name}`, spec);
    if (!this.#change) made.input.placeholder = spec.name === 'other_ratio' ? 'none' : spec.hint.includes('instead') ? '' : 'not known';
    this.#fields.set(spec.name, made);
    return made.element;
  }

  /** @param {string} name */
  #input(name) {
    return /** @type {ReturnType<typeof numberField>} */ (this.#fields.get(name)).input;
  }

  /** @param {string} emptied @param {string} typed */
  #only(emptied, typed) {
    if (this.#input(typed).value.trim() !== '') this.#input(emptied).value = '';
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.element, this.#units, units);
    this.#units = units;
    this.#showNow();
  }

  /**
   * Shows a sled's parts. The result names the typed values, which stay by default.
   * @param {PartsSled} sled
   * @param {boolean} [keepTyped]
   * @returns {string[]}
   */
  show(sled, keepTyped = true) {
    this.#known = sled.driveline ?? {};
    const preserved = [];
    for (const [name, { input }] of this.#fields) {
      const typed = keepTyped && isEdited(input);
      if (typed) preserved.push(PARTS[name]);
      if (!this.#change) fillQuantity(input, this.#value(name), this.#units, typed);
    }
    this.#showNow();
    if (this.#axle.show(this.#known, keepTyped)) preserved.push('axle');
    if (this.#showGears(sled.gears, keepTyped)) preserved.push('gears');
    return preserved;
  }

  /** @param {string} name */
  #value(name) {
    return /** @type {number|undefined} */ (this.#known[/** @type {keyof Driveline} */ (name)]);
  }

  /** For a change, shows the current value beside the field for the new one. */
  #showNow() {
    if (!this.#change) return;
    for (const [name, { input, note }] of this.#fields) note.textContent = this.#now(name, input.dataset.kind === 'length');
  }

  /** @param {string} name @param {boolean} length */
  #now(name, length) {
    const circumference = this.#known.tire_circumference_ft;
    const value = name === 'tire_revs_per_mile' ? circumference && Number((FEET_PER_MILE / circumference).toFixed(1)) : this.#value(name);
    if (value === undefined) return name === 'other_ratio' ? 'Now none.' : 'Now not known.';
    return length ? `Now ${finelyNoted(value, this.#units)}.` : `Now ${value}.`;
  }

  /** @param {PartsGear[]} gears @param {boolean} keepTyped */
  #showGears(gears, keepTyped) {
    const shown = keepTyped ? [...this.#gears.querySelectorAll('[data-gear]')] : [];
    const before = new Map(shown.map((row) => [row.getAttribute('data-gear') ?? '', row]));
    const typed = [...before.values()].some((row) => this.#touched(row));
    this.#noted = gears;
    this.#gears.replaceChildren(...gears.map((gear, place) => {
      const row = before.get(gear.label);
      const made = this.#gearRow(gear, place);
      if (row && this.#touched(row)) {
        partsOf(made).ratio.value = partsOf(row).ratio.value;
        partsOf(made).range.dataset.typed = partsOf(row).range.value;
      }
      return made;
    }));
    this.#showRanges();
    return typed;
  }

  /** @param {Element} row */
  #touched(row) {
    const { ratio, range } = partsOf(row);
    return isEdited(ratio) || range.value !== (range.dataset.noted ?? '');
  }

  /** @param {PartsGear} gear @param {number} place */
  #gearRow(gear, place) {
    const id = `${this.#id}-gear-${place}`;
    const ratio = el('input', {
      id, name: `ratio-${place}`, inputmode: 'decimal', autocomplete: 'off', 'data-shown': '', 'data-at': `gears[${place}].ratio`,
    });
    if (this.#change) ratio.placeholder = gear.ratio === undefined ? 'now not known' : `now ${gear.ratio}`;
    else {
      ratio.placeholder = 'not known';
      fillQuantity(ratio, gear.ratio, this.#units);
    }
    const noted = this.#change ? '' : gear.range ?? '';
    const range = el('select', {
      'aria-label': `Range of gear ${gear.label}`, 'data-at': `gears[${place}].range`, 'data-noted': noted, 'data-typed': noted,
    });
    return el('div', { class: 'field', 'data-gear': gear.label }, el('label', { for: id }, gear.label),
      el('div', { class: 'gear-row' }, ratio, range));
  }

  /** Offers the axle's ranges for each gear; none for an axle with one speed. */
  #showRanges() {
    const ranges = this.#axle.ranges();
    for (const row of this.#gears.children) {
      const { range } = partsOf(row);
      const chosen = range.options.length > 0 ? range.value : range.dataset.typed ?? '';
      const offered = chosen && !ranges.includes(chosen) ? [...ranges, chosen] : ranges;
      range.hidden = offered.length === 0;
      range.replaceChildren(el('option', { value: '' }, this.#change ? 'same' : 'none'),
        ...offered.map((name) => el('option', { value: name }, name)));
      range.value = chosen;
    }
  }

  /**
   * The parts as typed: all for a correction, the given ones for a change.
   * @param {Fault[]} faults
   * @returns {{driveline: Driveline|undefined, gears: PartsGear[]}}
   */
  read(faults) {
    /** @type {Driveline} */
    const driveline = {};
    for (const [name, { input }] of this.#fields) {
      const value = readQuantity(input, this.#units, faults);
      if (value !== undefined) Object.assign(driveline, { [name]: value });
    }
    if (driveline.tire_revs_per_mile !== undefined) delete driveline.tire_circumference_ft;
    Object.assign(driveline, this.#axle.read(faults));
    return { driveline: Object.keys(driveline).length > 0 ? driveline : undefined, gears: this.#readGears(faults) };
  }

  /** @param {Fault[]} faults */
  #readGears(faults) {
    /** @type {PartsGear[]} */
    const gears = [];
    [...this.#gears.children].forEach((row, place) => {
      const { ratio, range } = partsOf(row);
      const gear = { label: this.#noted[place].label, ratio: readQuantity(ratio, this.#units, faults), range: range.value || undefined };
      const sent = !this.#change || gear.ratio !== undefined || gear.range !== undefined;
      // Faults have the index among the gears that are sent.
      ratio.dataset.at = sent ? `gears[${gears.length}].ratio` : '';
      range.dataset.at = sent ? `gears[${gears.length}].range` : '';
      if (sent) gears.push(gear);
    });
    return gears;
  }

  /** Empties the fields after a change was stored. */
  clear() {
    for (const { input } of this.#fields.values()) input.value = '';
    this.#axle.clear();
    for (const row of this.#gears.children) {
      partsOf(row).ratio.value = '';
      partsOf(row).range.value = '';
    }
  }
}

/** @param {Element} row */
function partsOf(row) {
  return {
    ratio: /** @type {HTMLInputElement} */ (row.querySelector('input')),
    range: /** @type {HTMLSelectElement} */ (row.querySelector('select')),
  };
}
