// @ts-check
// The room that a box needs above the point where its drive is cut off. It certifies nothing, and looks like it.

import { get } from './api.js';
import { byId, control, el, row, table } from './dom.js';
import { numberIn, refuse, submitting } from './forms.js';
import { fixed, fromFeet } from './units.js';
import { basisWords } from './words.js';

/** @typedef {import('./partstypes.js').Page} Page */
/** @typedef {import('./types.js').Fault} Fault */
/** @typedef {{label: string, box_speed_ft_s: number|null, driven_run_on_ft: number|null, coast_ft: number|null, room_needed_ft: number|null, basis: any}} CutoffGear */

/** @param {Page} page */
export function startCutoff(page) {
  const form = byId('cutoff-form', HTMLFormElement);
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    submitting(form, async () => {
      /** @type {Fault[]} */
      const faults = [];
      /** @type {Record<string, number|undefined>} */
      const query = {};
      for (const name of ['ground_speed_mph', 'release_s', 'brake_ft_s2']) query[name] = numberIn(control(form, name), faults);
      if (query.ground_speed_mph === undefined) faults.push({ at: 'ground_speed_mph', detail: 'At which ground speed?' });
      if (query.release_s === undefined) faults.push({ at: 'release_s', detail: 'Without a measured time there is no answer.' });
      refuse(faults);
      const found = /** @type {{gears: CutoffGear[], caution: string}} */ (await get(`${page.path}/cutoff`, { query }));
      const units = page.units();
      const far = (/** @type {number|null} */ ft) => (ft === null ? 'unknown' : `${fixed(fromFeet(ft, units), 2)}\u00a0${units}`);
      byId('cutoff-result', HTMLDivElement).replaceChildren(el('p', { class: 'caution' }, found.caution),
        table('Room needed above the cut-off, by gear', ['Gear', 'Box speed', 'Driven on', 'Coast', 'Room needed', 'Box speed rests on'],
          found.gears.map((gear) => row(gear.label, [
            gear.box_speed_ft_s === null ? 'unknown' : `${fixed(fromFeet(gear.box_speed_ft_s, units), 2)}\u00a0${units}/s`,
            far(gear.driven_run_on_ft), far(gear.coast_ft), far(gear.room_needed_ft), basisWords(gear.basis, undefined),
          ]))));
    });
  });
}
