// @ts-check
// The pages about measuring and weighing: units of their blank forms, and printing.

import { startFrame } from '../frame/frame.js';
import { byId } from '../lib/dom.js';

/** @import { Units } from '../lib/units.js' */

/** @param {Units} units */
function show(units) {
  for (const word of document.querySelectorAll('[data-unit-word]')) word.textContent = units === 'm' ? 'meters' : 'feet';
  for (const word of document.querySelectorAll('[data-weight-word]')) word.textContent = units === 'm' ? 'kilograms' : 'pounds';
  for (const column of document.querySelectorAll('[data-column]')) {
    column.textContent = (column.getAttribute('data-column') ?? '').replace(/_ft$/, `_${units}`)
      .replace(/_lb$/, units === 'm' ? '_kg' : '_lb');
  }
}

show(startFrame(show));
byId('print', HTMLButtonElement).addEventListener('click', () => print());
