// @ts-check
// What the two printed sheets share: the show they are of, its heading, the print button, and rows that fit one page.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { address, get, Problem, request } from '../lib/api.js';
import { byId, el } from '../lib/dom.js';
import { whenAndWhere } from '../model/showwords.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sheet, Show } from '../model/showtypes.js' */

// Up to so many rows the style sheets have a size of type that leaves them on one page, fewest first.
const SIZES = [8, 14, 20];
const LONG_NAME = 36;

/**
 * Loads the show that the link names and shows it, again in other units when somebody switches.
 * @param {string} title
 * @param {(sheet: Sheet, show: Show, units: Units) => void} render
 */
export async function startPaper(title, render) {
  /** @type {{sheet: Sheet, show: Show}|undefined} */
  let now;
  let units = startFrame((chosen) => {
    units = chosen;
    if (now) render(now.sheet, now.show, units);
  });
  byId('print', HTMLButtonElement).addEventListener('click', () => print());
  const id = new URLSearchParams(location.search).get('show');
  try {
    if (!id) throw new Problem(404, 'No show', 'Which show? Open one from the list of shows, and its sheet from there.');
    const path = `/v1/shows/${encodeURIComponent(id)}`;
    const [sheet, { data: show }] = await Promise.all([
      /** @type {Promise<Sheet>} */ (get(`${path}/sheet`)), /** @type {Promise<{data: Show, etag: string}>} */ (request('GET', path))]);
    now = { sheet, show };
    setTitle(`${title}, ${sheet.name}`);
    byId('back', HTMLAnchorElement).href = address('/shows', { show: id });
    byId('name', HTMLHeadingElement).textContent = sheet.name;
    byId('sled', HTMLParagraphElement).textContent = sheet.sled_name;
    byId('when', HTMLParagraphElement).textContent = whenAndWhere(sheet);
    byId('caution', HTMLParagraphElement).textContent = sheet.caution;
    byId('none', HTMLParagraphElement).hidden = sheet.rows.length > 0;
    render(sheet, show, units);
    byId('view', HTMLDivElement).hidden = false;
  } catch (error) {
    showPageProblem(error);
  }
}

/** How the name of a class is set: a long one smaller, so that it takes no more lines than others. @param {string} name */
export function nameClass(name) {
  return name.length > LONG_NAME ? 'long-name' : '';
}

/**
 * The table of a printed sheet, which knows how many rows share the page; nothing without rows.
 * @param {string} label
 * @param {string[]} heads
 * @param {HTMLTableRowElement[]} rows
 */
export function paperTable(label, heads, rows) {
  if (rows.length === 0) return [];
  const size = SIZES.find((most) => rows.length <= most);
  const table = el('table', { class: `paper ${size ? `fits-${size}` : 'fits-not'}` }, el('caption', { class: 'unseen' }, label),
    el('thead', {}, el('tr', {}, ...heads.map((head) => el('th', { scope: 'col' }, head)))), el('tbody', {}, ...rows));
  table.style.setProperty('--rows', String(rows.length));
  return [table];
}
