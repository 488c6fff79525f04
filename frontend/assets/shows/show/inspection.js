// @ts-check
// Who signed what on the sled of a show, for its crew alone.

import { getForCrew } from '../../account/crew.js';
import { address } from '../../lib/api.js';
import { byId, el } from '../../lib/dom.js';
import { countWords, foundWords, notWellNotice, signedWords } from '../../model/inspection.js';

/** @import { Due, Inspection } from '../../model/inspection.js' */
/** @import { Show } from '../../model/showtypes.js' */

const MAX_SIGNED = 200;
const MAX_OPEN = 4; // more than that fold

/** @param {Show} show */
export async function showInspection(show) {
  if (show.sled === null) {
    byId('before-hook', HTMLElement).hidden = true;
    return;
  }
  const path = `/v1/sleds/${encodeURIComponent(show.sled)}`;
  const due = /** @type {Due|undefined} */ (await getForCrew(`${path}/due`, { show: show.id }));
  const signed = /** @type {{items: Inspection[]}|undefined} */ (
    await getForCrew(`${path}/inspections`, { show: show.id, limit: MAX_SIGNED }));
  const nothing = !due || (due.items.length === 0 && !signed?.items.length);
  byId('before-hook', HTMLElement).hidden = nothing;
  if (!due || nothing) {
    byId('before-hook-body', HTMLDivElement).replaceChildren();
    return;
  }
  const items = [...signed?.items ?? []].reverse();
  byId('before-hook-body', HTMLDivElement).replaceChildren(...notWellNotice(due),
    el('p', {}, `On ${due.sled_name}${show.over ? '' : `, ${countWords(due)}`}. `,
      items.length === 0 && 'Nobody has signed anything for this show.'),
    items.length > 0 ? el('details', { class: 'fold', open: items.length <= MAX_OPEN }, el('summary', {}, 'Signed for this show'),
      el('ul', {}, ...items.map((one) => el('li', {}, el('strong', {}, one.what), `: ${foundWords(one)} `,
        el('small', {}, signedWords(one)))))) : '',
    el('p', { class: 'caution' }, due.caution),
    el('p', {}, el('a', { class: 'button', href: address('/inspection', { sled: show.sled, show: show.id }) }, 'Look it over')));
}
