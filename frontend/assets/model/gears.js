// @ts-check
// A choice among the gears of a sled.

import { chosenIn, el, radios } from '../lib/dom.js';

// More gears than this no longer fit as buttons on a phone.
const MAX_BUTTONS = 8;

/**
 * Gear buttons, or a select where there are too many for buttons.
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

/** What is chosen among gearChoices. @param {HTMLElement} place */
export function chosenGear(place) {
  return place.querySelector('select')?.value ?? chosenIn(place);
}
