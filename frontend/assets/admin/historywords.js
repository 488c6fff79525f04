// @ts-check
// A history entry in words: a sentence, and the changed fields. Pure functions.

import { dateWords, momentWords } from '../lib/dates.js';
import { finelyNoted, quantityWords } from '../lib/quantities.js';
import { counted, isolated, sentence } from '../lib/text.js';
import { noted, weightNoted, weightWords } from '../lib/units.js';
import { foundWords, oftenWords } from '../model/inspection.js';
import { blockWords } from '../model/sleds.js';
import { endedWords, startWords } from '../model/words.js';

/** @import { Units } from '../lib/units.js' */

/** @typedef {Record<string, any>} Document */

/**
 * @typedef {object} Entry
 * @property {string} at
 * @property {string} who
 * @property {string} role
 * @property {string} act
 * @property {string} kind
 * @property {string} subject
 * @property {string[]} sleds
 * @property {any} before
 * @property {any} after
 */

/** Names by id. @typedef {{sleds: Map<string, string>, classes: Map<string, string>, shows: Map<string, string>}} Names */

/** A changed field. @typedef {{label: string, before: string, after: string}} Field */

// Verbs for some kinds of entries.
/** @type {Record<string, string>} */
const VERBS = {
  'added as-run': 'noted', 'removed as-run': 'took back', 'added outcome': 'noted', 'removed outcome': 'took back',
  'removed inspection': 'took back', 'added inspection': 'signed',
  'added key': 'made', 'added change': 'noted', 'removed change': 'took back',
};

/**
 * "Harvest crew added a reading to Bluestem: B, 297 ft from full back."
 * @param {Entry} entry
 * @param {Names} names
 * @param {Units} units
 */
export function entrySentence(entry, names, units) {
  return sentence(`${entry.who} ${verb(entry)} ${thing(entry, names, units)}`);
}

/** @param {Entry} entry */
function verb({ act, kind, before, after }) {
  const of = kind === 'sled' && after?.guest?.as_of;
  if (of && before?.guest?.as_of !== of) return before ? 'took in a newer file of' : 'took in';
  return VERBS[`${act} ${kind}`] ?? act;
}

/** @param {Entry} entry @param {Names} names @param {Units} units */
function thing(entry, names, units) {
  const it = /** @type {Document} */ (isDocument(entry.after) ? entry.after : isDocument(entry.before) ? entry.before : {});
  const at = it.show ?? entry.subject.split('/')[0];
  const pulled = nameIn(names.classes, it.class ?? entry.subject.split('/')[1] ?? '');
  const evening = nameIn(names.shows, at);
  switch (entry.kind) {
    case 'sled': return `the sled ${it.name ?? nameIn(names.sleds, entry.subject)}` +
      (it.guest ? `, a guest of ${isolated(it.guest.owner)}` : '');
    case 'class': return `the class ${it.name ?? nameIn(names.classes, entry.subject)}`;
    case 'show': return `the show ${it.name ?? nameIn(names.shows, entry.subject)}${it.date ? `, ${dateWords(it.date)}` : ''}`;
    case 'reading': return `a reading ${onSleds(entry, names, 'of')}${readingWords(it, units)}`;
    case 'weighing': return `a weighing ${onSleds(entry, names, 'of')}${weighingWords(it, units)}`;
    case 'weighings': return `${counted(it.rows ?? 0, 'weighing')} at once ${onSleds(entry, names, 'of')}`;
    case 'readings': return `${counted(it.rows ?? 0, 'reading')} at once ${onSleds(entry, names, 'of')}`;
    case 'change':
      return `a change of parts ${onSleds(entry, names, 'on')}${it.what ? `: ${it.what}` : ''}` +
        (it.made_on ? `, made ${dateWords(it.made_on)}` : '');
    case 'as-run':
      return `what was set for ${pulled} at ${evening}` +
        (it.gear ? `: ${isolated(it.gear)} from ${startWords(it.start_ft ?? 0, units)}` : '') +
        (it.from_hook ? `, hook ${it.from_hook} on` : '');
    case 'outcome': return `how ${pulled} went at ${evening}`;
    case 'sheet': return `the sheet of ${nameIn(names.shows, at)}`;
    case 'inspection': return `an inspection ${onSleds(entry, names, 'on')}: ${it.what}, ${foundWords(/** @type {any} */ (it))}`;
    case 'inspection-list': return `what the crew of ${nameIn(names.sleds, entry.subject)} looks at`;
    case 'key': return `the key of ${it.name ?? entry.subject}${it.role ? `, ${it.role}` : ''}`;
    case 'fleet':
      return `a whole fleet: ${counted(it.sleds ?? 0, 'sled')}, ${counted(it.readings ?? 0, 'reading')}, ` +
        `${counted(it.classes ?? 0, 'class', 'classes')}, ${counted(it.shows ?? 0, 'show')}`;
    default: return `${entry.kind.replaceAll('-', ' ')} ${entry.subject}`.trim();
  }
}

/** @param {Map<string, string>} names @param {string} id */
function nameIn(names, id) {
  return names.get(id) ?? id;
}

/**
 * "to Bluestem" for an addition, else "of Bluestem" or "on Bluestem".
 * @param {Entry} entry
 * @param {Names} names
 * @param {string} otherwise
 */
function onSleds(entry, names, otherwise) {
  if (entry.sleds.length === 0) return '';
  const word = entry.act === 'added' && otherwise === 'of' ? 'to' : otherwise;
  return `${word} ${entry.sleds.map((id) => nameIn(names.sleds, id)).join(', ')}`;
}

/** @param {Document} reading @param {Units} units */
function readingWords(reading, units) {
  if (reading.distance_ft === undefined) return '';
  return `: ${reading.gear ?? '?'}, ${noted(reading.distance_ft, units)} from ${startWords(reading.start_ft ?? 0, units)}`;
}

/** @param {Document} weighing @param {Units} units */
function weighingWords({ pan_lb: pan, box_at_ft: at = 0 }, units) {
  if (pan === undefined) return '';
  return `: ${weightWords(pan, units)} on the pan, the box ${at === 0 ? 'full back' : `at ${noted(at, units)}`}`;
}

/** @param {any} value @returns {value is Document} */
function isDocument(value) {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

// Fields that the server sets, or that say nothing to a person.
const LEFT_OUT = new Set(['id', 'gear_id', 'revision', 'created_at', 'updated_at', 'noted_on', 'at', 'hash', 'batch', 'day_df',
  'reading_df', 'weighing_df', 'weighing_lb', 'assumed_reading_pct', 'from_owner']);

/** @type {Record<string, string>} */
const LABELS = {
  travel_ft: 'travel of the box', take_up_ft: 'take-up, the slack before the box moves',
  rail_mark_ft: 'rail mark to rail mark', start_ft: 'box started at',
  distance_ft: 'how far it was pulled', ended: 'how it ended', end_ft: 'box stopped at', plus_minus_ft: 'give or take', measured_on: 'date',
  day: 'test day', by: 'noted or stated by', tire_psi: 'tire pressure', speed_mph: 'ground speed', replaces: 'corrects another',
  'show replaces': 'in place of',
  set_aside: 'set aside', made_on: 'made on', what: 'what was done', effect: 'earlier readings', setting: 'used to', pull_off: 'pull-off',
  top_out_ft: 'top-out it is used to', classes: 'running order', from_hook: 'from hook', full_pulls: 'went full', hooks: 'how many hooked',
  longest_ft: 'longest pull', felt: 'the sled pulled', role: 'may do what', ended_at: 'ended', sprocket_teeth: 'sprocket teeth',
  chain_pitch_in: 'chain pitch', box_ft_per_turn: 'box travel per turn', tire_circumference_ft: 'tire circumference',
  zone: 'time zone', changed: 'sheet had changed since', confirmed_at: 'counts though it stands out, since',
  guest: 'of another crew', as_of: 'its numbers are of', day_pct: 'one day from another, percent',
  reading_pct: 'repeats on one day, percent', owner_set_aside: 'set aside by its owner',
};

/**
 * The fields that differ, in words. Each nested field has a line of its own.
 * @param {Entry} entry
 * @param {Names} names
 * @param {Units} units
 * @returns {Field[]}
 */
export function changedFields({ kind, before, after }, names, units) {
  if (kind === 'readings' || kind === 'weighings') return manyFields(after ?? {}, names, kind.slice(0, -1));
  if (kind === 'fleet' || kind === 'sheet') return [];
  const fieldsBefore = flattened(before);
  const fieldsAfter = flattened(after);
  const words = (/** @type {Map<string, any>} */ from, /** @type {string} */ path) =>
    (from.has(path) ? valueWords(kind, path, from.get(path), names, units) : 'none');
  return [...new Set([...fieldsBefore.keys(), ...fieldsAfter.keys()])]
    .map((path) => ({ label: labelOf(kind, path), before: words(fieldsBefore, path), after: words(fieldsAfter, path) }))
    .filter((field) => field.before !== field.after);
}

/** The counts of an import, by sled. @param {Document} many @param {Names} names @param {string} what @returns {Field[]} */
function manyFields(many, names, what) {
  const of = Object.entries(many.sleds ?? {})
    .map(([id, count]) => ({ label: nameIn(names.sleds, id), before: '', after: counted(count, what) }));
  if (many.reason) return [{ label: 'why', before: '', after: many.reason }];
  const aside = many.set_aside?.length ?? 0;
  return aside === 0 ? of : [...of, { label: 'corrected, and set aside', before: '', after: counted(aside, 'earlier reading') }];
}

/** @param {any} document @returns {Map<string, any>} */
function flattened(document) {
  /** @type {Map<string, any>} */
  const fields = new Map();
  const add = (/** @type {Document} */ part, /** @type {string} */ path) => {
    for (const [name, value] of Object.entries(part)) {
      if (LEFT_OUT.has(name) || value === null || value === '') continue;
      if (isDocument(value)) add(value, `${path}${name}.`);
      else fields.set(path + name, value);
    }
  };
  if (isDocument(document)) add(document, '');
  return fields;
}

/** "driveline.axle_ratios.low" as "axle ratios, low". @param {string} kind @param {string} path */
function labelOf(kind, path) {
  return path.replace(/^driveline\./, '').split('.')
    .map((name) => LABELS[`${kind} ${name}`] ?? LABELS[name] ?? name.replace(/_(ft|in|pct|lb)$/, '').replaceAll('_', ' ')).join(', ');
}

/** @param {string} kind @param {string} path @param {any} value @param {Names} names @param {Units} units @returns {string} */
function valueWords(kind, path, value, names, units) {
  const name = path.split('.').at(-1) ?? path;
  if (Array.isArray(value)) {
    const items = value.map((each) => (isDocument(each) ? partWords(each, units) : nameIn(names.classes, String(each))));
    return items.join(name === 'gears' ? ', ' : '\n') || 'none';
  }
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (typeof value === 'number') return numberWords(path, value, units);
  if (name === 'sled') return nameIn(names.sleds, value);
  if (name === 'class') return nameIn(names.classes, value);
  if (name === 'show') return nameIn(names.shows, value);
  if (path === 'ended') return endedWords(value);
  if (name === 'effect') return value === 'by-ratio' ? 'carried by the ratio' : 'no longer count';
  if (name.endsWith('_at') || name === 'as_of') return momentWords(value);
  if (name === 'replaces' && kind !== 'show') return 'yes';
  return ['date', 'made_on', 'measured_on', 'weighed_on'].includes(name) || (name === 'day' && /^\d{4}-\d{2}-\d{2}$/.test(value))
    ? dateWords(value)
    : String(value);
}

/** @param {string} name @param {number} value @param {Units} units */
function numberWords(name, value, units) {
  if (name.endsWith('_ft')) return name.startsWith('driveline.') ? finelyNoted(value, units) : noted(value, units);
  if (name.endsWith('_lb')) return weightNoted(value, units);
  if (name.endsWith('_psi')) return quantityWords('pressure', value, units);
  if (name.endsWith('_mph')) return quantityWords('speed', value, units);
  const plain = String(Number(value.toPrecision(12)));
  return name.endsWith('_in') ? `${plain} in` : plain;
}

/** "A 1.31 (low)", "Chains, every show" or "9 × 2,000 lb". @param {Document} gear @param {Units} units */
function partWords(gear, units) {
  if (gear.lb !== undefined) return blockWords([/** @type {any} */ (gear)], units);
  if (gear.what !== undefined) return `${gear.what}, ${oftenWords(/** @type {any} */ (gear))}`;
  return `${gear.label ?? '?'}${gear.ratio === undefined ? '' : ` ${gear.ratio}`}${gear.range ? ` (${gear.range})` : ''}`;
}
