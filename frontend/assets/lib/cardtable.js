// @ts-check
// A table whose rows become cards on a narrow screen.

import { el } from './dom.js';

/**
 * A table whose rows become cards on a narrow screen, with column heads beside the cells. Empty cells are left out of cards;
 * empty columns are removed.
 * @param {string} label
 * @param {string[]} heads
 * @param {HTMLTableRowElement[]} rows
 */
export function cardTable(label, heads, rows) {
  // Removes empty columns.
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
