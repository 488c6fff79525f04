// @ts-check
// The beginning of the cab sheet for the sled's crew: what is not well, and what is due, with boxes to check by pen.

import { getForCrew } from '../account/crew.js';
import { byId, el } from '../lib/dom.js';
import { notWell, notWellNotice, oftenWords } from '../model/inspection.js';

/** @import { Due } from '../model/inspection.js' */
/** @import { Sheet } from '../model/showtypes.js' */

// More than this does not fit above the classes, and has a page of its own.
const MAX_LINES = 18;
const MAX_ROWS = 14;
const COLUMNS = 3; // as in the style sheet

/** @param {Sheet} sheet */
export async function showDue(sheet) {
  const due = /** @type {Due|undefined} */ (
    await getForCrew(`/v1/sleds/${encodeURIComponent(sheet.sled ?? '')}/due`, { show: sheet.show }));
  const lines = due && !sheet.over ? due.items.filter((item) => item.due) : [];
  const bad = due ? notWell(due).length : 0;
  const place = byId('before-hook', HTMLElement);
  place.hidden = lines.length === 0 && bad === 0;
  if (!due || place.hidden) return;
  const alone = lines.length + bad > MAX_LINES || sheet.rows.length > MAX_ROWS;
  place.classList.toggle('alone', alone);
  const heightMm = alone ? 0 : 14 + 5 * Math.ceil(lines.length / COLUMNS) + 6 * bad;
  byId('view', HTMLDivElement).style.setProperty('--before-hook', `${heightMm}mm`);
  byId('before-hook-body', HTMLDivElement).replaceChildren(...notWellNotice(due),
    el('ul', { class: 'to-check' }, ...lines.map((item) => el('li', {},
      el('span', { class: 'box', 'aria-label': 'box to check', role: 'img' }), el('span', {}, item.what, ' ',
        el('small', {}, item.every_days ? oftenWords(item) : ''))))),
    el('p', { class: 'caution' }, due.caution));
}
