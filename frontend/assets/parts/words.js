// @ts-check
// Parts and their changes in words. Pure functions of the API's answers.

import { finelyNoted } from '../lib/quantities.js';
import { sentence } from '../lib/text.js';
import { fixed, noted } from '../lib/units.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Change, Driveline, PartsGear, PartsSled } from './types.js' */

/** The effect of a change on earlier readings. @param {Change} change @param {Units} units */
export function movedWords(change, units) {
  const travel = (change.travel_ft === undefined ? '' : ` The travel is ${noted(change.travel_ft, units)} since.`) +
    (change.ends_weighings ? ' It ended the weighings before it.' : '');
  if (change.effect === 'unknown') return `Nobody knows what it did to the top-outs: earlier readings no longer count.${travel}`;
  if (change.moves_pct === null) return `Gears were moved by different ratios; earlier readings are moved, each by its own.${travel}`;
  return `It moved every top-out by ${signed(change.moves_pct)}; earlier readings are moved with it.${travel}`;
}

/** "+3.4 % (later)". @param {number} pct */
function signed(pct) {
  const text = fixed(Math.abs(pct), Math.abs(pct) < 0.95 ? 2 : 1);
  if (Number(text) === 0) return 'nothing at all';
  return `${pct < 0 ? '−' : '+'}${text}\u00a0% (${pct < 0 ? 'earlier' : 'later'})`;
}

/** Names of the parts. @type {Record<string, string>} */
export const PARTS = {
  sprocket_teeth: 'sprocket', chain_pitch_in: 'chain pitch', box_ft_per_turn: 'box in one turn', axle_ratio: 'axle ratio',
  final_ratio: 'final ratio', other_ratio: 'other ratio', tire_circumference_ft: 'tire circumference',
  tire_revs_per_mile: 'tire turns a mile',
};

/** "high 4.88, low 6.65", as on the plate of the axle. @param {Record<string, number>} ratios  by range */
export function axleWords(ratios) {
  return Object.entries(ratios).sort((a, b) => a[1] - b[1]).map(([range, ratio]) => `${range} ${ratio}`).join(', ');
}

/** The new parts of a change. @param {Change} change @param {Units} units */
export function newParts({ driveline, gears }, units) {
  const parts = [];
  for (const [name, value] of Object.entries(driveline ?? {})) {
    if (typeof value !== 'number') parts.push(`axle ${axleWords(value)}`);
    else parts.push(`${PARTS[name] ?? name} ${name.endsWith('_ft') || name === 'box_ft_per_turn' ? finelyNoted(value, units) : value}`);
  }
  for (const { label, ratio, range } of gears ?? []) {
    parts.push(`gear ${label} ${[ratio, range && `in ${range}`].filter((one) => one !== undefined).join(' ')}`);
  }
  return parts.length === 0 ? '' : sentence(`New: ${parts.join('; ')}`);
}

/** A sled's known parts, as a list. @param {PartsSled} sled @param {Units} units */
export function notedWords({ driveline: known = {}, gears: noted, travel_ft: travel }, units) {
  const gears = /** @type {PartsGear[]} */ (noted);
  const parts = [
    known.sprocket_teeth !== undefined && `sprocket of ${known.sprocket_teeth} teeth`,
    known.chain_pitch_in !== undefined && `chain pitch ${known.chain_pitch_in} in`,
    known.box_ft_per_turn !== undefined && `box ${finelyNoted(known.box_ft_per_turn, units)} in one turn`,
    known.axle_ratio !== undefined && `axle ${known.axle_ratio}`,
    known.axle_ratios && `axle ${axleWords(known.axle_ratios)}`,
    known.final_ratio !== undefined && `final ${known.final_ratio}`,
    known.other_ratio !== undefined && `other ${known.other_ratio}`,
    known.tire_circumference_ft !== undefined && `tire circumference ${finelyNoted(known.tire_circumference_ft, units)}`,
    gears.some(({ ratio }) => ratio !== undefined) && `gears ${gears.map(gearWords).join(', ')}`,
  ].filter(Boolean);
  if (parts.length === 0) return 'nothing is noted of its parts yet';
  return [...parts, travel !== undefined && `travel ${finelyNoted(travel, units)}`].filter(Boolean).join('; ');
}

/** "A 1.31 (low)". @param {PartsGear} gear */
function gearWords({ label, ratio, range }) {
  return `${label} ${ratio ?? 'not known'}${range ? ` (${range})` : ''}`;
}

/** The missing parts without which not every top-out can be computed. @param {PartsSled} sled */
export function unknownWords(sled) {
  const known = /** @type {Driveline} */ (sled.driveline ?? {});
  const ranges = known.axle_ratios ?? {};
  const without = (/** @type {(gear: {ratio?: number, range?: string}) => boolean} */ lacks) =>
    sled.gears.filter(lacks).map(({ label }) => label);
  const noRatio = without(({ ratio }) => ratio === undefined);
  const noRange = Object.keys(ranges).length === 0 ? [] : without(({ range }) => range === undefined || ranges[range] === undefined);
  const all = (/** @type {string[]} */ labels) => (labels.length === sled.gears.length ? 'any gear' : labels.join(', '));
  const missing = [
    known.box_ft_per_turn === undefined && known.sprocket_teeth === undefined && 'the sprocket',
    known.box_ft_per_turn === undefined && known.chain_pitch_in === undefined && 'the chain pitch',
    known.axle_ratio === undefined && known.axle_ratios === undefined && 'the axle ratio',
    known.final_ratio === undefined && 'the final ratio',
    known.tire_circumference_ft === undefined && 'the tire',
    noRatio.length > 0 && `the ratio of ${all(noRatio)}`,
    noRange.length > 0 && `the range of ${all(noRange)}`,
    sled.travel_ft === undefined && 'the travel of the box (on the sled’s own page)',
  ].filter(Boolean);
  return missing.length === 0
    ? 'Everything is noted that it takes to work out where each gear tops out.'
    : `Not known yet: ${missing.join(', ')}. Until then the parts say nothing of the gears that need it.`;
}
