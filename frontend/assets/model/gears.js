// @ts-check
// The choice of a gear.

import { chosenIn, el, radios } from '../lib/dom.js';

// More buttons do not fit on a phone.
const MAX_BUTTONS = 8;

/**
 * Gear buttons, or a select for more gears.
 * @param {string} name
 * @param {string[]} labels
 * @param {string} chosen
 */
export function gearChoices(name, labels, chosen) {
  if (labels.length <= MAX_BUTTONS) return radios(name, labels.map((label) => ({ value: label, label })), chosen);
  const select = el('select', { name, 'aria-label': 'Gear' }, el('option', { value: '' }, 'Pick a gear'),
    ...labels.map((label) => el('option', { value: label }, label)));
  select.value = labels.includes(chosen) ? chosen : '';
  return [select];
}

/** The gear chosen among gearChoices. @param {HTMLElement} place */
export function chosenGear(place) {
  return place.querySelector('select')?.value ?? chosenIn(place);
}
