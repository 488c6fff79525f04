// @ts-check
// The one list of a reading's fields: their labels, how the form asks for them and how a list says them. Names, order, labels and
// kinds are those of fleet.ReadingFields, in Go.

import { quantityWords } from '../lib/quantities.js';

/** @import { Units } from '../lib/units.js' */

/**
 * @typedef {object} Field
 * @property {string} name   in the API
 * @property {string} label
 * @property {'sled'|'gear'|'length'|'weight'|'number'|'date'|'ended'|'text'|'note'} kind
 * @property {'pressure'|'speed'} [quantity]  of a number
 * @property {'day'|'sled'} [stays]  for the next reading, or for the next of the same sled: the form asks for it once
 * @property {string} [ask]  the label in the form, where it differs
 * @property {string} [hint]
 * @property {(text: string) => string} [said]  in a list
 */

const same = (/** @type {string} */ text) => text;

/** @type {Field[]} */
export const FIELDS = [
  { name: 'sled', label: 'Sled', kind: 'sled' },
  { name: 'gear', label: 'Gear', kind: 'gear' },
  { name: 'start_ft', label: 'Start', kind: 'length' },
  { name: 'distance_ft', label: 'Distance', kind: 'length' },
  { name: 'measured_on', label: 'Date', kind: 'date', stays: 'day' },
  { name: 'ended', label: 'How it ended', kind: 'ended' },
  { name: 'end_ft', label: 'Box stopped at', kind: 'length' },
  { name: 'plus_minus_ft', label: 'Give or take', kind: 'length' },
  { name: 'day', label: 'Test day or show', kind: 'text', stays: 'day', hint: 'A name of its own; empty is the date.' },
  { name: 'place', label: 'Place', kind: 'text', stays: 'day', said: same },
  { name: 'by', label: 'Noted or stated by', kind: 'text', stays: 'day', ask: 'Noted by', said: (text) => `by ${text}` },
  { name: 'note', label: 'Note', kind: 'note' },
  { name: 'marked_by', label: 'Marked by', kind: 'text', stays: 'day', ask: 'Marked by (spotter, flag, paint)',
    said: (text) => `marked by ${text}` },
  { name: 'taken_with', label: 'Taken with', kind: 'text', stays: 'day', ask: 'Taken with (wheel, tape, laser)',
    said: (text) => `taken with ${text}` },
  { name: 'surface', label: 'Surface', kind: 'text', stays: 'day', said: same },
  { name: 'weights', label: 'Weights in the box', kind: 'text', stays: 'sled', said: (text) => `weights ${text}` },
  { name: 'tire_psi', label: 'Tire pressure', kind: 'number', quantity: 'pressure', stays: 'sled', said: (text) => `tires ${text}` },
  { name: 'speed_mph', label: 'Ground speed', kind: 'number', quantity: 'speed', stays: 'sled', said: same },
  { name: 'replaces', label: 'Corrects the reading', kind: 'text', said: () => 'corrects an earlier one' },
];

/** The field of a name in the API. @param {string} name */
export function fieldNamed(name) {
  return FIELDS.find((field) => field.name === name);
}

/**
 * A field of a reading as a list says it; empty where there is nothing.
 * @param {Field} field
 * @param {any} value  a number in the API's unit
 * @param {Units} units
 */
export function fieldWords({ quantity, said }, value, units) {
  if (!said || value === undefined || value === '') return '';
  return said(quantity ? quantityWords(quantity, Number(value), units) : String(value));
}
