// @ts-check
// The room that the box needs past the cut-off point. It certifies nothing, and the page says so.

import { get } from '../lib/api.js';
import { byId, el, row, table } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { quantityWords, readQuantity, switchFields, unitName } from '../lib/quantities.js';
import { fixed, fromFeet } from '../lib/units.js';
import { basisWords } from '../model/words.js';
import { numberField } from './fields.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Cutoff } from './types.js' */

export class CutoffForm {
  #path;
  #units;
  #form = byId('cutoff-form', HTMLFormElement);
  #speed = numberField('cutoff-speed', 'ground_speed_mph',
    { label: 'Ground speed', kind: 'speed', hint: 'Of the sled where the box nears the top.' });
  #release = numberField('cutoff-release', 'release_s', {
    label: 'Time the drive needs to let go, measured', unit: 's',
    hint: 'From the switch tripping until the drive no longer pushes, on this sled.',
  });
  #brake = numberField('cutoff-brake', 'brake_ft_s2', {
    label: 'Deceleration by the box brake, measured', kind: 'deceleration',
    hint: 'Empty where nobody measured it: the coast is then unknown.',
  });
  /** @type {{answer: Cutoff, mph: number, release: number, brake: number|undefined}|undefined} */
  #found;

  /** @param {string} path @param {Units} units */
  constructor(path, units) {
    this.#path = path;
    this.#units = units;
    byId('cutoff-fields', HTMLDivElement).append(this.#speed.element, this.#release.element, this.#brake.element);
    switchFields(this.#form, units, units);
    onSubmit(this.#form, () => this.#ask());
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.#form, this.#units, units);
    this.#units = units;
    this.#show();
  }

  async #ask() {
    /** @type {Fault[]} */
    const faults = [];
    const value = (/** @type {{input: HTMLInputElement}} */ { input }) => readQuantity(input, this.#units, faults);
    const [mph, release, brake] = [value(this.#speed), value(this.#release), value(this.#brake)];
    if (this.#speed.input.value.trim() === '') faults.push({ at: 'ground_speed_mph', detail: 'At which ground speed?' });
    if (this.#release.input.value.trim() === '') faults.push({ at: 'release_s', detail: 'Without a measured time there is no answer.' });
    throwFaults(faults);
    if (mph === undefined || release === undefined) return;
    const query = { ground_speed_mph: mph, release_s: release, brake_ft_s2: brake };
    const answer = /** @type {Cutoff} */ (await get(`${this.#path}/cutoff`, { query }));
    this.#found = { answer, mph, release, brake };
    this.#show();
  }

  #show() {
    if (!this.#found) return;
    const { answer, mph, release, brake } = this.#found;
    const units = this.#units;
    const feet = (/** @type {number|null} */ ft) => (ft === null ? 'unknown' : `${fixed(fromFeet(ft, units), 2)}\u00a0${units}`);
    const given = `At ${quantityWords('speed', mph, units)}, with ${release}\u00a0s until the drive lets go and ` +
      (brake === undefined
        ? 'no measured deceleration, so nobody knows how far the box then coasts.'
        : `the box braked at ${fixed(fromFeet(brake, units), 1)}\u00a0${unitName('deceleration', units)}.`);
    byId('cutoff-result', HTMLDivElement).replaceChildren(
      el('p', {}, given),
      table('The room each gear’s box needs past the point where its drive is cut off',
        ['Gear', 'Box speed', 'Driven on', 'Then coasts', 'Room it needs', 'Box speed is'],
        answer.gears.map((gear) => row(gear.label, [
          gear.box_speed_ft_s === null ? 'unknown' : `${fixed(fromFeet(gear.box_speed_ft_s, units), 2)}\u00a0${units}/s`,
          feet(gear.driven_run_on_ft), feet(gear.coast_ft), feet(gear.room_needed_ft),
          gear.box_speed_ft_s === null ? '' : basisWords(gear.basis),
        ]))),
      el('p', { class: 'hint' },
        'Whether a sled has that room, and what more it must have, is for its maker and a qualified check to say.'));
  }
}
