// @ts-check
// Which of the parts at hand would make one sled like another.

import { get } from './api.js';
import { byId, control, el, row, table } from './dom.js';
import { refuse, submitting } from './forms.js';
import { fixed, fromFeet, parseNumber } from './units.js';
import { counted, differenceWords } from './words.js';

/** @typedef {import('./partstypes.js').Page} Page */
/** @typedef {import('./partstypes.js').PartsSled} PartsSled */
/** @typedef {import('./types.js').Fault} Fault */
/** @typedef {{reference_gear: string, gear: string, difference_ft: number}} OptionGear */
/** @typedef {{sprocket_teeth?: number, axle_ratio?: number, final_ratio?: number, tyre_circumference_ft?: number, gear_set?: string, mean_ft: number, worst_ft: number, plus_minus_ft: number, changed: number, box_speed_change_pct: number, gears: OptionGear[]}} Option */
/** @typedef {{now: Option, items: Option[], combinations: number, exact_factor: number, exact_mean_ft: number, cannot_be_mended: string[], caution: string}} Options */

const NEAR_FT = 5; // as the API counts a gear as mended
const LISTS = /** @type {const} */ (['sprocket_teeth', 'axle_ratio', 'final_ratio', 'tyre_circumference_ft']);

/** @param {PartsSled[]} others  the sleds that this one can be made like */
export function fillReferences(others) {
  byId('reference', HTMLSelectElement).replaceChildren(...others.map((sled) => el('option', { value: sled.id }, sled.name)));
}

/** @param {Page} page */
export function startOptions(page) {
  const form = byId('options-form', HTMLFormElement);
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    submitting(form, async () => {
      const reference = control(form, 'reference').value;
      const found = /** @type {Options} */ (await get('/v1/part-options', { query: { sled: page.sled().id, reference, ...listsIn(form) } }));
      show(found, page, byId('reference', HTMLSelectElement).selectedOptions[0]?.textContent ?? reference);
    });
  });
  const print = byId('print-options', HTMLButtonElement);
  print.addEventListener('click', () => {
    document.body.classList.add('options-only');
    window.print();
  });
  window.addEventListener('afterprint', () => document.body.classList.remove('options-only'));
}

/** @param {HTMLFormElement} form */
function listsIn(form) {
  /** @type {Fault[]} */
  const faults = [];
  /** @type {Record<string, string[]>} */
  const query = {};
  for (const name of LISTS) {
    const given = control(form, name).value.split(',').map((one) => one.trim()).filter(Boolean);
    if (given.some((one) => parseNumber(one) === null)) faults.push({ at: name, detail: 'Numbers with commas between, such as: 5.1, 5.5.' });
    query[name] = given.map((one) => String(parseNumber(one)));
  }
  query.gear_set = control(form, 'gear_set').value.split('\n').map((line) => line.trim()).filter(Boolean);
  refuse(faults);
  return query;
}

/** @param {Options} found @param {Page} page @param {string} reference */
function show(found, page, reference) {
  const units = page.units();
  const far = (/** @type {number} */ ft) => `${fixed(fromFeet(ft, units), units === 'm' ? 2 : 1)}\u00a0${units}`;
  const exact = 100 * (found.exact_factor - 1);
  const ways = [
    `${counted(found.combinations, 'combination')} tried. As it is, ${page.sled().name} is ${far(found.now.mean_ft)} off ${reference} on average, ${far(found.now.worst_ft)} at worst.`,
    `One exact ratio, made or not, would have to move every top-out ${fixed(Math.abs(exact), 1)} % ${exact < 0 ? 'earlier' : 'later'}; ${far(found.exact_mean_ft)} would be left on average.`,
    found.cannot_be_mended.length === 0
      ? 'No gear would then be more than 5 ft off.'
      : `No single ratio mends ${reference}’s ${found.cannot_be_mended.join(', ')}: the gears are spaced otherwise. ${setWords(found)}`,
    'Where the box gets faster, its driven run-on at the cut-off grows by the same per cent and its coast by twice as much; its return speed may change too and is not worked out here.',
  ];
  byId('options-result', HTMLDivElement).replaceChildren(el('p', { class: 'caution' }, found.caution), ...ways.map((text) => el('p', {}, text)),
    table(`Parts that bring ${page.sled().name} nearest to ${reference}`,
      ['Parts', 'Changed', 'Off on average', 'At worst', 'Box faster by', 'Gear by gear'],
      found.items.map((option) => row(partsWords(option), [
        String(option.changed), `${far(option.mean_ft)}, each ± ${far(option.plus_minus_ft)}`, far(option.worst_ft), `${fixed(option.box_speed_change_pct, 1)} %`,
        option.gears.map((gear) => `${gear.reference_gear}: ${gear.gear}, ${differenceWords(gear.difference_ft, option.plus_minus_ft, units)}`).join('; '),
      ])), 'text'));
  byId('print-options', HTMLButtonElement).hidden = false;
}

/** Whether one of the gear sets at hand would mend what no single ratio does. @param {Options} found */
function setWords(found) {
  const would = found.items.find((option) => option.gear_set && found.cannot_be_mended.every((gear) =>
    option.gears.some((one) => one.reference_gear === gear && Math.abs(one.difference_ft) <= NEAR_FT)));
  return would ? `The gear set ${would.gear_set} would (${partsWords(would)}).` : 'Only another gear set would; none of those given does.';
}

/** @param {Option} option */
function partsWords(option) {
  return [
    option.sprocket_teeth && `${option.sprocket_teeth} teeth`, option.axle_ratio && `axle ${option.axle_ratio}`, option.final_ratio && `final ${option.final_ratio}`,
    option.tyre_circumference_ft && `tyre ${fixed(option.tyre_circumference_ft, 2)} ft`, option.gear_set && `gears ${option.gear_set}`,
  ].filter(Boolean).join(', ') || 'as it is';
}
