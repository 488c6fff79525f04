// @ts-check
// Shared by the two printed sheets: loading of the show, heading, print button, and type size by number of rows.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { address, onlyLatest, Problem, request } from '../lib/api.js';
import { byId, el, putText } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { sheetGuests, whenAndWhere } from '../model/showwords.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sheet, Show } from '../model/showtypes.js' */

// The style sheets have a type size for up to this many rows on one page.
const SIZES = [8, 14, 20];
const LONG_NAME = 36;

/**
 * Loads the show named in the link, and renders its sheet, again when the units change.
 * @param {string} title
 * @param {(sheet: Sheet, show: Show, units: Units, at: Date) => void} render  at: of when the sheet is
 * @param {(sheet: Sheet) => Promise<void>} [loadMore]  before the sheet is shown
 */
export async function startPaper(title, render, loadMore) {
  /** @type {{sheet: Sheet, at: Date, show: Show}|undefined} */
  let now;
  const latest = onlyLatest();
  const link = new URLSearchParams(location.search);
  const id = link.get('show');
  const path = `/v1/shows/${encodeURIComponent(id ?? '')}`;
  let units = startFrame((chosen) => {
    units = chosen;
    if (now) again(now);
  });
  /** @param {NonNullable<typeof now>} made */
  const put = (made) => {
    now = made;
    putText('night', made.sheet.night?.detail ?? '');
    render(made.sheet, made.show, units, made.at);
  };
  /** @param {NonNullable<typeof now>} made */
  const again = (made) => {
    put(made);
    latest(getSheet(), ({ data: sheet, at }) => put({ ...made, sheet, at }));
  };
  /** @returns {Promise<{data: Sheet, at: Date}>} */
  const getSheet = () => request('GET', `${path}/sheet`, { query: { units, with_date: link.get('with_date') ?? undefined } });
  byId('print', HTMLButtonElement).addEventListener('click', () => print());
  try {
    if (!id) throw new Problem(404, 'No show', 'Which show? Open one from the list of shows, and its sheet from there.');
    const asked = units;
    const [{ data: sheet, at }, { data: show }] = await Promise.all([
      getSheet(), /** @type {Promise<{data: Show, etag: string}>} */ (request('GET', path))]);
    setTitle(`${title}, ${isolated(sheet.name)}`);
    byId('back', HTMLAnchorElement).href = address('/shows', { show: id });
    byId('name', HTMLHeadingElement).textContent = sheet.name;
    byId('sled', HTMLParagraphElement).textContent = sheet.sled_name || 'No sled yet';
    byId('when', HTMLParagraphElement).textContent = whenAndWhere(sheet);
    putText('guest', sheetGuests(sheet).join(' '));
    putText('replaces', sheet.replaces
      ? `In place of ${sheet.replaces}: a sheet that names ${sheet.replaces} is out of date.` : '');
    putText('caution', sheet.caution);
    byId('none', HTMLParagraphElement).hidden = sheet.rows.length > 0;
    (units === asked ? put : again)({ sheet, at, show });
    if (sheet.sled !== null) await loadMore?.(sheet);
    byId('view', HTMLDivElement).hidden = false;
  } catch (error) {
    showPageProblem(error);
  }
}

/** The style of a class name: smaller when long, so that it takes no more lines. @param {string} name */
export function nameClass(name) {
  return name.length > LONG_NAME ? 'long-name' : '';
}

/**
 * The table of a printed sheet, with its number of rows for the style sheet; nothing without rows.
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
