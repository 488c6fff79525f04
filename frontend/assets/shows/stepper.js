// @ts-check
// The field of a start position, with buttons for gloves.

import { el } from '../lib/dom.js';

/**
 * A stepper for a start position, with a label.
 * @param {string} id
 * @param {string} name
 * @param {string} label
 */
export function startStepper(id, name, label) {
  const input = el('input', { id, name, inputmode: 'decimal', autocomplete: 'off', value: '0' });
  const stepper = el('div', { class: 'field' },
    el('label', { for: id }, label),
    el('div', { class: 'stepper' },
      el('button', { type: 'button', 'data-step': '-1', 'aria-label': 'Further back' }, '−'), input,
      el('button', { type: 'button', 'data-step': '1', 'aria-label': 'Further forward' }, '+'),
      el('span', { 'data-unit': true }, 'ft')),
    el('p', { class: 'hint' }, 'Forward of full back; 0 is full back.'));
  return { stepper, input };
}
