// @ts-check
// The ranking of part options, for the screen and for print.

import { cardTable } from '../lib/cardtable.js';
import { dateWords, today } from '../lib/dates.js';
import { el, row, table } from '../lib/dom.js';
import { finelyNoted } from '../lib/quantities.js';
import { counted, isolated } from '../lib/text.js';
import { finely, fixed, rounded } from '../lib/units.js';
import { notedWords } from './words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Option, OptionGear, Options, PartsSled } from './types.js' */

// More gears do not fit side by side on paper.
const MAX_COLUMNS = 7;
const MAX_BESIDE = 3; // options beside what is on the sled
const NEAR_FT = 5; // the API's limit

/**
 * @param {Options} found
 * @param {PartsSled} sled
 * @param {string} reference  name of the reference sled
 * @param {Units} units
 * @returns {Node[]}
 */
export function showRanking(found, sled, reference, units) {
  const { now, items } = found;
  const far = (/** @type {number} */ ft) => finely(ft, units);
  const shown = items.length < found.combinations ? `, the best ${items.length} shown` : '';
  return [
    el('h3', {}, `Parts that would make ${isolated(sled.name)} like ${reference}`),
    el('p', { class: 'on-paper-only' }, `${dateWords(today())}. On ${isolated(sled.name)} now: ${notedWords(sled, units)}.`),
    el('p', {}, `As it is, ${isolated(sled.name)}’s nearest gears are ${far(now.mean_ft)} off ${reference}’s on average ` +
      `and ${far(now.worst_ft)} at worst, each ±\u00a0${coarsely(now.plus_minus_ft, units)}. ` +
      `${counted(found.combinations, 'combination was', 'combinations were')} tried${shown}.`),
    found.left_out.length > 0 && el('p', {},
      `Left out, because nothing is known of where they top out: ${found.left_out.map(isolated).join(', ')} of ${isolated(sled.name)}.`),
    ranking(found, sled, reference, units),
    topOuts(found, sled, units),
    el('p', { class: 'hint' },
      'Off: how far the nearest gear of this sled would top out from each of the other’s, later or earlier. ' +
      'Where two do as well, the one with fewer changed parts comes first. ' +
      'Each difference is an average over nights, good to the ± beside it: what lies closer together than that can ' +
      'hardly be told apart.'),
    el('h3', {}, 'The exact ratio'),
    el('p', {}, exactWords(found, sled, reference, units)),
    el('p', {}, mendWords(found, reference, units)),
    el('p', {}, 'Where the box gets faster, it is driven on at the cut-off by as many percent further, ' +
      'and coasts about twice as many percent further. How fast it comes back depends on what drives it back: whether that ' +
      'turns the last shaft, or comes in ahead of the final ratio. Both are given.'),
  ].filter((part) => part instanceof Node);
}

/**
 * Where each gear of the sled would top out, now and with the best options.
 * @param {Options} found
 * @param {PartsSled} sled
 * @param {Units} units
 */
function topOuts({ now, items }, sled, units) {
  const others = items.filter(({ changed }) => changed > 0).slice(0, MAX_BESIDE);
  if (others.length === 0) return null;
  const at = (/** @type {Option} */ option, /** @type {string} */ gear) => {
    const feet = option.top_outs.find((one) => one.gear === gear)?.top_out_ft;
    return feet === undefined ? 'not known' : finely(feet, units);
  };
  return el('section', {}, el('h3', {}, `Where each gear of ${isolated(sled.name)} would top out`),
    table(`Gears of ${isolated(sled.name)} with other parts`,
      ['Gear', 'As it is', ...others.map((option) => partsWords(option, now, units))],
      now.top_outs.map(({ gear }) => row(gear, [now, ...others].map((option) => at(option, gear))))));
}

/** @param {Options} found @param {PartsSled} sled @param {string} reference @param {Units} units */
function ranking({ now, items }, sled, reference, units) {
  const apart = now.gears.length <= MAX_COLUMNS;
  const heads = ['Parts', 'Off on average', 'Off at worst', 'Parts changed', 'Box',
    ...(apart ? now.gears.map(({ reference_gear: gear }) => `For ${gear}`) : ['Gear by gear'])];
  const name = `Parts that would make ${isolated(sled.name)} like ${reference}, best first`;
  return el('div', { class: 'scroll', role: 'region', tabindex: '0', 'aria-label': name }, cardTable(name, heads,
    items.map((option, place) => el('tr', { class: option.changed === 0 ? 'chosen' : '' },
    el('th', { scope: 'row' }, `${place + 1}. `, partsWords(option, now, units)),
    el('td', {}, finely(option.mean_ft, units), el('small', {}, `each ±\u00a0${coarsely(option.plus_minus_ft, units)}`)),
    el('td', {}, finely(option.worst_ft, units)),
    el('td', {}, String(option.changed)),
    el('td', { class: 'box' }, boxWords(option.box_speed_change_pct), option.changed > 0 && el('small', {}, returnWords(option))),
    ...(apart
      ? option.gears.map((gear) => el('td', { class: 'miss' }, el('strong', {}, gear.gear), ' ', el('small', {}, missWords(gear, units))))
      : [el('td', { class: 'wrap' },
        option.gears.map((gear) => `${isolated(gear.reference_gear)}: ${isolated(gear.gear)} ${missWords(gear, units)}`).join('; '))])))));
}

/** The parts that an option changes. @param {Option} option @param {Option} now @param {Units} units */
function partsWords(option, now, units) {
  const parts = [
    option.final_ratio !== now.final_ratio && `final ${option.final_ratio}`,
    option.axle_ratio !== now.axle_ratio && `axle ${option.axle_ratio}`,
    option.sprocket_teeth !== now.sprocket_teeth && `${option.sprocket_teeth} teeth`,
    option.tire_circumference_ft !== now.tire_circumference_ft && `tire ${finelyNoted(option.tire_circumference_ft ?? 0, units)}`,
    option.gear_set !== undefined && `gears ${option.gear_set.split(',').join(', ')}`,
  ].filter(Boolean);
  return parts.length === 0 ? 'As it is' : parts.join('\u00a0· ');
}

/** @param {number} pct */
function boxWords(pct) {
  const text = fixed(Math.abs(pct), 1);
  return Number(text) === 0 ? 'as fast as now' : `${text}\u00a0% ${pct > 0 ? 'faster' : 'slower'}`;
}

/** "comes back 4.2 % faster"; where it depends on what drives it back, both. @param {Option} option */
function returnWords({ return_speed_low_pct: low, return_speed_high_pct: high }) {
  const [least, most] = [boxWords(low), boxWords(high)];
  return least === most ? `comes back ${most}` : `comes back ${least}, or ${most}`;
}

/** "17 ft earlier", or "level". @param {OptionGear} gear @param {Units} units */
function missWords({ difference_ft: feet }, units) {
  const text = finely(Math.abs(feet), units);
  return Number.parseFloat(text) === 0 ? 'level' : `${text} ${feet > 0 ? 'later' : 'earlier'}`;
}

/** @param {Options} found @param {PartsSled} sled @param {string} reference @param {Units} units */
function exactWords({ exact_factor: factor, exact_mean_ft: left, now }, { name }, reference, units) {
  const off = 100 * (factor - 1);
  if (Math.abs(off) < 0.05) return `No other ratio would do better than the one on ${name} now: ${finely(left, units)} off on average.`;
  // The top-out is proportional to the final ratio and the tire, and inversely to the axle ratio and the sprocket.
  const ways = [
    now.final_ratio !== undefined && `a final ratio of ${fixed(now.final_ratio * factor, 3)}`,
    now.axle_ratio !== undefined && `an axle ratio of ${fixed(now.axle_ratio / factor, 3)}`,
    now.sprocket_teeth !== undefined && `a sprocket of ${fixed(now.sprocket_teeth / factor, 2)} teeth`,
  ].filter(Boolean);
  const by = ways.length > 0 ? `, by ${ways.join(', or ')}` : '';
  return 'Best of all, made or not, would be to top out ' +
    `${fixed(Math.abs(off), 1)}\u00a0% ${off > 0 ? 'later' : 'earlier'} in every gear${by}. ` +
    `That would leave ${finely(left, units)} off ${reference} on average, against ${finely(now.mean_ft, units)} now, ` +
    `and make the box ${boxWords(100 * (1 / factor - 1))}.`;
}

/** @param {Options} found @param {string} reference @param {Units} units */
function mendWords(found, reference, units) {
  const { cannot_be_mended: gears } = found;
  const near = coarsely(NEAR_FT, units);
  if (gears.length === 0) return `With it every gear of ${reference} would be met within ${near}.`;
  const which = `${gears.length === 1 ? 'gear' : 'gears'} ${gears.join(', ')}`;
  return `With that ratio, ${which} of ${reference} would stay more than ${near} off: ` +
    `the gears are spaced differently, and only another set of gears changes the spacing. ${setWords(found, units)}`;
}

/** Whether one of the gear sets meets the gears that the exact ratio does not. @param {Options} found @param {Units} units */
function setWords({ items, now, cannot_be_mended: gears }, units) {
  if (items.every(({ gear_set: set }) => set === undefined)) return 'None was given to try.';
  const would = items.find(({ gear_set: set, gears: misses }) => set !== undefined &&
    gears.every((gear) => misses.some(({ reference_gear: of, difference_ft: miss }) => of === gear && Math.abs(miss) <= NEAR_FT)));
  return would ? `This one would: ${partsWords(would, now, units)}.` : 'None of those shown does.';
}

/** A ± as elsewhere. @param {number} feet @param {Units} units */
function coarsely(feet, units) {
  return `${rounded(feet, feet, units).plusMinus}\u00a0${units}`;
}
