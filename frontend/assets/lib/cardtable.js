// @ts-check
// A table that becomes cards where the screen is narrow.

import { el } from './dom.js';

/**
 * A table whose rows become cards on a narrow screen, each cell with the head of its column. Cells left empty are
 * left out there, and columns left empty everywhere.
 * @param {string} label
 * @param {string[]} heads
 * @param {HTMLTableRowElement[]} rows
 */
export function cardTable(label, heads, rows) {
  // A column that no row has anything in says nothing.
  for (let place = heads.length - 1; place > 0; place--) {
    if (rows.length > 0 && rows.every(({ cells }) => cells[place].textContent === '')) {
      rows.forEach((row) => row.deleteCell(place));
      heads = heads.filter((_, other) => other !== place);
    }
  }
  for (const row of rows) {
    [...row.cells].forEach((cell, place) => {
      cell.dataset.head = heads[place];
      if (cell.textContent === '') cell.classList.add('empty');
    });
  }
  return el('table', { class: 'cards' }, el('caption', { class: 'unseen' }, label),
    el('thead', {}, el('tr', {}, ...heads.map((head) => el('th', { scope: 'col' }, head)))), el('tbody', {}, ...rows));
}
