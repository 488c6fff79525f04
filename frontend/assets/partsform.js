// @ts-check
// The parts that are on a sled, as a form. Saving corrects what was noted wrongly.

import { Problem, request } from './api.js';
import { byId, control, el } from './dom.js';
import { numberIn, refuse, submitting } from './forms.js';
import { withKey } from './key.js';
import { parseNumber } from './units.js';

/** @typedef {import('./partstypes.js').PartsSled} PartsSled */
/** @typedef {import('./partstypes.js').Page} Page */
/** @typedef {import('./types.js').Fault} Fault */

const PARTS = /** @type {const} */ (['sprocket_teeth', 'chain_pitch_in', 'box_ft_per_turn', 'axle_ratio', 'final_ratio', 'other_ratio', 'tyre_circumference_ft', 'tyre_revs_per_mile']);
const NOT_SENT = ['id', 'readings', 'revision', 'created_at', 'updated_at'];
const form = () => byId('parts-form', HTMLFormElement);

/** @param {PartsSled} sled */
export function fillParts(sled) {
  const known = sled.driveline ?? {};
  for (const name of PARTS) control(form(), name).value = known[name] === undefined ? '' : String(known[name]);
  control(form(), 'axle_ratios').value = Object.entries(known.axle_ratios ?? {}).map(([range, ratio]) => `${range} ${ratio}`).join(', ');
  byId('gear-fields', HTMLDivElement).replaceChildren(...sled.gears.flatMap((gear, place) => gearFields(gear, place, true)));
  byId('new-gear-fields', HTMLDivElement).replaceChildren(...sled.gears.flatMap((gear, place) => gearFields({ label: gear.label }, place, false)));
}

/**
 * @param {{label: string, ratio?: number, range?: string}} gear
 * @param {number} place
 * @param {boolean} ranged
 */
function gearFields(gear, place, ranged) {
  const fields = [field(`gears[${place}].ratio`, `${gear.label}: ratio`, gear.ratio === undefined ? '' : String(gear.ratio), ranged)];
  if (ranged) fields.push(field(`gears[${place}].range`, `${gear.label}: range`, gear.range ?? '', ranged));
  return fields;
}

/** @param {string} name @param {string} label @param {string} value @param {boolean} now */
function field(name, label, value, now) {
  const at = `${now ? 'now' : 'new'}-${name}`;
  const input = el('input', { id: at, name, autocomplete: 'off', inputmode: name.endsWith('ratio') ? 'decimal' : 'text' });
  input.value = value;
  return el('div', { class: 'field' }, el('label', { for: at }, label), input);
}

/** @param {Page} page @param {() => string} etag */
export function startParts(page, etag) {
  form().addEventListener('submit', (event) => {
    event.preventDefault();
    submitting(form(), async () => {
      /** @type {Fault[]} */
      const faults = [];
      const correction = /** @type {Record<string, any>} */ ({ ...page.sled() });
      for (const name of NOT_SENT) delete correction[name];
      correction.driveline = driveline(faults);
      correction.gears = page.sled().gears.map(({ label }, place) => ({
        label, ratio: numberIn(control(form(), `gears[${place}].ratio`), faults), range: control(form(), `gears[${place}].range`).value.trim() || undefined,
      }));
      refuse(faults);
      try {
        await withKey((key) => request('PUT', page.path, { body: correction, key, ifMatch: etag() }));
      } catch (error) {
        if (error instanceof Problem) error.faults = error.faults.map((fault) => ({ ...fault, at: fault.at.replace(/^driveline\.(axle_ratios)?.*?([^.]*)$/, (_, ranges, last) => ranges ?? last) }));
        throw error;
      }
      await page.changed();
    });
  });
}

/** @param {Fault[]} faults */
function driveline(faults) {
  /** @type {Record<string, unknown>} */
  const made = {};
  for (const name of PARTS) {
    const value = numberIn(control(form(), name), faults);
    if (value !== undefined) made[name] = value;
  }
  // Both say the same, and revolutions per mile were given last: what is shown is the circumference.
  if (made.tyre_revs_per_mile !== undefined) delete made.tyre_circumference_ft;
  const ranges = rangesIn(control(form(), 'axle_ratios'), faults);
  if (ranges) made.axle_ratios = ranges;
  return Object.keys(made).length === 0 ? undefined : made;
}

/** "low 6.6, high 4.88". @param {HTMLInputElement} input @param {Fault[]} faults */
function rangesIn(input, faults) {
  if (input.value.trim() === '') return undefined;
  /** @type {Record<string, number>} */
  const ranges = {};
  for (const one of input.value.split(',')) {
    const [, range, ratio] = /^(.*\S)\s+(\S+)$/.exec(one.trim()) ?? [];
    const value = ratio === undefined ? null : parseNumber(ratio);
    if (!range || value === null) {
      faults.push({ at: input.name, detail: 'Write each range with its ratio, such as: low 6.6, high 4.88.' });
      return undefined;
    }
    ranges[range] = value;
  }
  return ranges;
}
