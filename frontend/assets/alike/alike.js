// @ts-check
// How alike the fleet is: every sled against a reference sled, in one number, gear by gear, and as a drawing.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { address, get, getAll } from '../lib/api.js';
import { cardTable } from '../lib/cardtable.js';
import { byId, el, row, table } from '../lib/dom.js';
import { submitting } from '../lib/forms.js';
import { picture } from '../lib/picture.js';
import { isolated } from '../lib/text.js';
import { finely, fixed, fromFeet } from '../lib/units.js';
import { differenceWords } from '../model/words.js';

/** @import { Sled } from '../model/types.js' */

/** @typedef {{reference_gear: string, gear: string, difference_ft: number, plus_minus_ft: number}} AlikeGear */

/**
 * @typedef {object} AlikeSled
 * @property {string} sled
 * @property {string} name
 * @property {number} known
 * @property {number|null} mean_ft
 * @property {number|null} worst_ft
 * @property {string|null} worst_gear
 * @property {number|null} mean_moved_ft
 * @property {AlikeGear[]} gears
 */

/** @typedef {{reference: string, gears: string[], items: AlikeSled[], caution: string}} HowAlike */

const MIN_SAVED_FT = 0.5; // a smaller gain in the mean is not reported

/** @type {HowAlike|undefined} */
let found;
/** @type {Sled[]} */
let sleds = [];
let asked = 0;
let units = startFrame((chosen) => {
  units = chosen;
  show();
});
const form = byId('question', HTMLFormElement);
const choice = byId('reference', HTMLSelectElement);

setTitle('How alike is the fleet');
form.addEventListener('submit', (event) => event.preventDefault());
form.addEventListener('change', () => submitting(form, load));
start().catch(showPageProblem);

async function start() {
  sleds = await /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds'));
  const link = new URLSearchParams(location.search);
  const offered = sleds.filter(({ id, retired }) => !retired || id === link.get('reference'));
  choice.replaceChildren(...offered.map((sled) => el('option', { value: sled.id }, sled.name)));
  if (offered.length < 2) {
    form.hidden = true;
    say('It takes two sleds to compare. Add them under Fleet.');
    return;
  }
  choice.value = offered.find(({ id }) => id === link.get('reference'))?.id ?? offered[0].id;
  for (const input of form.querySelectorAll('input')) input.checked = input.value === String(link.get('used_only') === 'true');
  await load();
}

/** @param {string} text */
function say(text) {
  byId('about', HTMLParagraphElement).textContent = text;
}

async function load() {
  const reference = choice.value;
  const usedOnly = new FormData(form).get('used_only') === 'true';
  const mine = ++asked;
  const answer = /** @type {HowAlike} */ (await get('/v1/fleet/how-alike', { query: { reference, used_only: usedOnly } }));
  if (mine !== asked) return; // another reference was chosen meanwhile
  found = answer;
  history.replaceState(null, '', address('/alike', { reference, used_only: usedOnly ? 'true' : undefined, units }));
  show();
}

function show() {
  if (!found) return;
  const { gears, items, caution, reference } = found;
  const sled = sleds.find(({ id }) => id === reference);
  const name = sled?.name ?? reference;
  const nothing = gears.length === 0;
  say(nothing ? `Nothing is known yet of where ${name} tops out from full back.` : aboutWords(name, gears, sled?.gears.length ?? 0));
  byId('ranking', HTMLDivElement).replaceChildren(...(nothing ? [] : [ranking(items, gears, name)]));
  byId('by-sled', HTMLElement).hidden = nothing;
  byId('by-sled-about', HTMLParagraphElement).textContent =
    `For each gear of ${name}: the gear that tops out nearest on every other sled, and how much later or earlier that is.`;
  byId('gears', HTMLDivElement).replaceChildren(byGear(gears, items, name));
  byId('ladder-section', HTMLElement).hidden = false;
  byId('ladders', HTMLDivElement).replaceChildren(picture('/v1/fleet/ladders.svg', { units, reference },
    `Where every gear of every sled tops out from full back, sled beside sled, beginning with ${name}. ` +
    'The table above has the differences.'));
  const place = byId('caution', HTMLParagraphElement);
  place.hidden = false;
  place.textContent = caution;
}

/** @param {string} name @param {string[]} gears @param {number} all */
function aboutWords(name, gears, all) {
  const usedOnly = new FormData(form).get('used_only') === 'true';
  const which = gears.length < all
    ? `${usedOnly ? 'those that classes use and a chart knows' : 'those a chart knows'}: ${gears.join(', ')}`
    : usedOnly ? 'all of them: classes use every one, or none' : 'all of them';
  return `From full back, over the gears of ${name} (${which}): how far the nearest gear of each other sled is off on average, ` +
    'most alike first. The smaller, the less there is to get used to. Averages over nights.';
}

/** @param {AlikeSled[]} items @param {string[]} gears @param {string} name */
function ranking(items, gears, name) {
  const heads = ['Sled', 'Off on average', 'At worst', 'With a moved start', 'Which parts'];
  return cardTable(`Sleds by how near they come to ${name}`, heads, items.map((item, place) => {
    const head = el('th', { scope: 'row' }, item.mean_ft === null ? item.name : `${place + 1}. ${isolated(item.name)}`,
      item.known > 0 && item.known < gears.length && el('small', {}, `an answer for ${item.known} of ${gears.length} gears`));
    if (item.mean_ft === null) return el('tr', {}, head, el('td', {}, 'nothing is known of it'), el('td', {}), el('td', {}), el('td', {}));
    return el('tr', {}, head,
      el('td', {}, el('strong', { class: 'far' }, finely(item.mean_ft, units)), el('small', {}, `each ±\u00a0${typical(item)}`)),
      el('td', {}, `${finely(item.worst_ft ?? 0, units)}, for ${item.worst_gear ?? ''}`),
      el('td', {}, movedWords(item)),
      el('td', { class: 'shop' }, el('a', { href: address('/what-if', { sled: item.sled, reference: found?.reference }) },
        `What if, on ${isolated(item.name)}`)));
  }));
}

/** @param {AlikeSled} item */
function movedWords({ mean_ft: mean, mean_moved_ft: moved }) {
  if (moved === null || mean === null) return 'not known';
  return mean - moved < MIN_SAVED_FT ? 'no better' : `${finely(moved, units)} on average`;
}

/** @param {string[]} gears @param {AlikeSled[]} items @param {string} name */
function byGear(gears, items, name) {
  const heads = [name, ...items.map((item) => item.name)];
  return table(`The nearest gears to those of ${name}`, heads, gears.map((gear) => row(gear, items.map((item) => {
    const cell = item.gears.find(({ reference_gear: of }) => of === gear);
    if (!cell) return 'not known';
    return el('div', { class: 'cell' }, el('strong', {}, cell.gear),
      el('small', {}, differenceWords(cell.difference_ft, cell.plus_minus_ft, units)));
  }))));
}

/** The mean ± of a sled's differences. @param {AlikeSled} item */
function typical({ gears }) {
  const mean = gears.reduce((sum, { plus_minus_ft: pm }) => sum + pm, 0) / gears.length;
  return `${fixed(Math.max(fromFeet(mean, units), units === 'm' ? 0.1 : 1), units === 'm' ? 1 : 0)}\u00a0${units}`;
}
