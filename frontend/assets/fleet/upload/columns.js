// @ts-check
// Maps the columns of an upload to fields: names matched loosely, units taken from the heading. Pure functions.

/** @import { Units } from '../../lib/units.js' */

/** @typedef {'sled'|'gear'|'length'|'number'|'date'|'ended'|'text'} Kind */
/** @typedef {{name: string, label: string, kind: Kind, needed?: boolean, says: string[]}} Field */

/** The use of a column: a field, and the units of a length. Null ignores the column. @typedef {{name: string, units: Units}|null} Use */

// Names and order are the API's. `says` lists usual headings in lower case, without punctuation.
/** @type {Field[]} */
export const FIELDS = [
  { name: 'sled', label: 'Sled', kind: 'sled', needed: true, says: ['sled', 'sled name', 'sled id', 'name of sled', 'machine', 'rig'] },
  { name: 'gear', label: 'Gear', kind: 'gear', needed: true, says: ['gear', 'gear label', 'gear used', 'lever'] },
  { name: 'start_ft', label: 'Start', kind: 'length',
    says: ['start', 'start position', 'box start', 'starting position', 'started at', 'box started at'] },
  { name: 'distance_ft', label: 'Distance', kind: 'length', needed: true,
    says: ['distance', 'pulled', 'distance pulled', 'pull distance', 'top out', 'topout', 'top out distance', 'tops out at',
      'feet', 'meters', 'meters'] },
  { name: 'measured_on', label: 'Date', kind: 'date', needed: true, says: ['date', 'measured on', 'measured', 'date measured', 'when'] },
  { name: 'ended', label: 'How it ended', kind: 'ended',
    says: ['ended', 'how it ended', 'how did it end', 'ending', 'result', 'kind', 'kind of reading', 'type'] },
  { name: 'end_ft', label: 'Box stopped at', kind: 'length',
    says: ['end', 'end position', 'box end', 'stopped at', 'box stopped at', 'stop position'] },
  { name: 'plus_minus_ft', label: 'Give or take', kind: 'length', says: ['plus minus', 'give or take', 'tolerance', '±', '+/-'] },
  { name: 'day', label: 'Test day or show', kind: 'text', says: ['day', 'test day', 'show', 'event', 'test day or show'] },
  { name: 'place', label: 'Place', kind: 'text', says: ['place', 'location', 'track', 'where', 'venue'] },
  { name: 'by', label: 'Noted or stated by', kind: 'text',
    says: ['by', 'noted by', 'measured by', 'stated by', 'noted or stated by', 'who'] },
  { name: 'note', label: 'Note', kind: 'text', says: ['note', 'notes', 'remark', 'remarks', 'comment', 'comments'] },
  { name: 'marked_by', label: 'Marked by', kind: 'text', says: ['marked by', 'marked with', 'mark', 'spotter'] },
  { name: 'taken_with', label: 'Taken with', kind: 'text', says: ['taken with', 'measured with', 'instrument', 'tool'] },
  { name: 'surface', label: 'Surface', kind: 'text', says: ['surface', 'track surface', 'ground', 'soil'] },
  { name: 'weights', label: 'Weights in the box', kind: 'text', says: ['weights', 'weight', 'box weight', 'weights in the box'] },
  { name: 'tire_psi', label: 'Tire pressure (psi)', kind: 'number',
    says: ['tire', 'tires', 'tire', 'tires', 'tire pressure', 'tire pressure', 'pressure'] },
  { name: 'speed_mph', label: 'Ground speed (mph)', kind: 'number', says: ['speed', 'ground speed'] },
  { name: 'replaces', label: 'Corrects the reading', kind: 'text', says: ['replaces', 'corrects'] },
];

/** Units in headings. Some, such as bar, belong to no field. @type {Record<string, string>} */
const UNITS = {
  ft: 'ft', feet: 'ft', foot: 'ft', '\'': 'ft', m: 'm', meters: 'm', meter: 'm', meters: 'm', meter: 'm',
  psi: 'psi', mph: 'mph', bar: 'bar', kpa: 'kpa', 'km/h': 'km/h', kmh: 'km/h', in: 'in', inches: 'in', cm: 'cm',
};
/** @type {Record<string, string>} */
const NUMBER_UNITS = { tire_psi: 'psi', speed_mph: 'mph' };

const BY_NAME = new Map(FIELDS.map((field) => [field.name, field]));

/** @param {string} name @returns {Field|undefined} */
export function fieldOf(name) {
  return BY_NAME.get(name);
}

/**
 * The column name for the API.
 * @param {NonNullable<Use>} use
 */
export function columnName({ name, units }) {
  return units === 'm' ? name.replace(/_ft$/, '_m') : name;
}

/** The label of a column. @param {NonNullable<Use>} use */
export function useLabel({ name, units }) {
  const field = fieldOf(name);
  return field?.kind === 'length' ? `${field.label} (${units})` : field?.label ?? name;
}

/** All uses, for a list to choose from. @returns {NonNullable<Use>[]} */
export function allUses() {
  return FIELDS.flatMap(({ name, kind }) =>
    /** @type {Units[]} */ (kind === 'length' ? ['ft', 'm'] : ['ft']).map((units) => ({ name, units })));
}

/**
 * The most likely use of each column. A field goes to the best match, or to the first of equal ones.
 * @param {string[]} headings
 * @param {Units} units  of lengths whose heading has no unit
 * @returns {Use[]}
 */
export function guessUses(headings, units) {
  const guesses = headings.map((heading) => guess(heading, units));
  return guesses.map((mine, place) => {
    if (!mine) return null;
    const better = guesses.some((other, at) => other && other.use.name === mine.use.name &&
      (other.score > mine.score || (other.score === mine.score && at < place)));
    return better ? null : mine.use;
  });
}

const EXACT = 100;

/** @param {string} heading @param {Units} units @returns {{use: NonNullable<Use>, score: number}|undefined} */
function guess(heading, units) {
  const { words, unit } = taken(heading);
  let best = /** @type {{field: Field, score: number}|undefined} */ (undefined);
  for (const field of FIELDS) {
    if (!isIn(field, unit)) continue;
    const score = scoreOf(words, [...field.says, field.name.replace(/_(ft|psi|mph)$/, '').replace(/_/g, ' ')]);
    if (score > (best?.score ?? 0)) best = { field, score };
  }
  if (!best) return undefined;
  const given = unit === 'm' || unit === 'ft' ? unit : undefined;
  return { use: { name: best.field.name, units: given ?? (best.field.kind === 'length' ? units : 'ft') }, score: best.score };
}

/** Whether a field can have that unit. @param {Field} field @param {string} unit */
function isIn(field, unit) {
  if (unit === '') return true;
  if (field.kind === 'length') return unit === 'ft' || unit === 'm';
  return NUMBER_UNITS[field.name] === unit;
}

/** How well a heading matches: exactly, or with other words around it. @param {string} words @param {string[]} says */
function scoreOf(words, says) {
  if (says.includes(words)) return EXACT;
  const there = words.split(' ');
  return Math.max(0, ...says.map((saying) => {
    const needed = saying.split(' ');
    return needed.every((word) => there.includes(word)) ? needed.length : 0;
  }));
}

/** A heading in lower case without punctuation, and its unit. @param {string} heading */
function taken(heading) {
  let text = heading.trim().toLowerCase().replace(/^'/, '');
  if (text === '±' || text === '+/-') return { words: text, unit: '' };
  let unit = '';
  text = text.replace(/[([]\s*(?:in\s+)?([^)\]]*?)\s*[)\]]|(?:,|\bin)\s+([a-z/]+)$|[_ ]([a-z]+)$/, (all, inside, after, last) => {
    unit = UNITS[inside ?? after ?? last] ?? '';
    return unit || inside !== undefined ? '' : all;
  });
  return { words: text.replace(/[^\p{L}\p{N}]+/gu, ' ').trim(), unit };
}
