// @ts-check
// How alike the fleet is: one sled's gears against every other sled's, and all ladders side by side.

import { picture } from './answer.js';
import { address, get, getAll, Problem } from './api.js';
import { byId, control, el, row, table } from './dom.js';
import { submitting } from './forms.js';
import { setTitle, startFrame } from './frame.js';
import { fixed, fromFeet } from './units.js';
import { differenceWords } from './words.js';

/** @typedef {import('./types.js').Units} Units */
/** @typedef {import('./types.js').Sled} Sled */
/** @typedef {{reference_gear: string, gear: string, difference_ft: number, plus_minus_ft: number}} AlikeGear */
/** @typedef {{sled: string, name: string, known: number, mean_ft: number|null, worst_ft: number|null, worst_gear: string|null, mean_moved_ft: number|null, gears: AlikeGear[]}} AlikeSled */
/** @typedef {{reference: string, gears: string[], items: AlikeSled[], caution: string}} HowAlike */

/** @type {HowAlike|undefined} */
let found;
/** @type {Sled[]} */
let sleds = [];
let units = startFrame((chosen) => {
  units = chosen;
  show();
});
const form = byId('question', HTMLFormElement);

setTitle('How alike is the fleet');
form.addEventListener('submit', (event) => {
  event.preventDefault();
  submitting(form, load);
});
form.addEventListener('change', () => submitting(form, load));
start().catch((error) => {
  const place = byId('whole-page', HTMLParagraphElement);
  place.hidden = false;
  place.textContent = error instanceof Problem ? error.message : `Something went wrong: ${error}`;
});

async function start() {
  sleds = (await /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds'))).filter((sled) => !sled.retired);
  const link = new URLSearchParams(location.search);
  const choice = byId('reference', HTMLSelectElement);
  choice.replaceChildren(...sleds.map((sled) => el('option', { value: sled.id }, sled.name)));
  if (sleds.length < 2) {
    byId('about', HTMLParagraphElement).textContent = 'It takes two sleds to compare.';
    return;
  }
  choice.value = sleds.find((sled) => sled.id === link.get('reference'))?.id ?? sleds[0]?.id ?? '';
  control(form, 'used_only').checked = link.get('used_only') === 'true';
  await load();
}

async function load() {
  const reference = control(form, 'reference').value;
  const usedOnly = control(form, 'used_only').checked;
  found = /** @type {HowAlike} */ (await get('/v1/fleet/how-alike', { query: { reference, used_only: usedOnly } }));
  history.replaceState(null, '', address('/alike', { reference, used_only: usedOnly ? 'true' : undefined, units }));
  show();
}

function show() {
  if (!found) return;
  const { gears, items, caution } = found;
  const name = sleds.find((sled) => sled.id === found?.reference)?.name ?? found.reference;
  byId('about', HTMLParagraphElement).textContent = gears.length === 0
    ? `Nothing is known of ${name} at full back yet.`
    : `From full back, for ${gears.length === 1 ? 'gear' : 'gears'} ${gears.join(', ')} of ${name}: how far the nearest gear of every other sled is off.`;
  byId('ranking', HTMLDivElement).replaceChildren(table(`Sleds by how near they come to ${name}`,
    ['Sled', 'Off on average', 'With a moved start', 'Worst'],
    items.map((item) => row(item.name, item.mean_ft === null
      ? ['nothing is known of it', '', '']
      : [far(item.mean_ft), item.mean_moved_ft === null ? 'not known' : far(item.mean_moved_ft), `${far(item.worst_ft ?? 0)}, at ${item.worst_gear ?? ''}`]))));
  const rows = gears.map((gear) => row(gear, items.map((item) => {
    const cell = item.gears.find((one) => one.reference_gear === gear);
    return cell ? `${cell.gear}: ${differenceWords(cell.difference_ft, cell.plus_minus_ft, units)}` : 'not known';
  })));
  byId('by-sled', HTMLElement).hidden = rows.length === 0;
  byId('gears', HTMLDivElement).replaceChildren(table(`Nearest gears to those of ${name}`, [name, ...items.map((item) => item.name)], rows, 'text'));
  byId('ladders', HTMLDivElement).replaceChildren(picture('/v1/fleet/ladders.svg', { units },
    'Every sled’s gears side by side by where they top out from full back. The table above says the same for one sled’s gears.'));
  const place = byId('caution', HTMLParagraphElement);
  place.hidden = false;
  place.textContent = caution;
}

/** Half an interval is not known of a mean of misses, so it is said to the foot. @param {number} feet */
function far(feet) {
  return `about ${fixed(fromFeet(feet, units), units === 'm' ? 1 : 0)}\u00a0${units}`;
}
