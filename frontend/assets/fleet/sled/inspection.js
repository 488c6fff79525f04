// @ts-check
// The top of a sled for its crew: what is not well, and the way to what is due.

import { getForCrew } from '../../account/crew.js';
import { address } from '../../lib/api.js';
import { byId, el } from '../../lib/dom.js';
import { countWords, forShowWords, notWellNotice } from '../../model/inspection.js';

/** @import { Due } from '../../model/inspection.js' */

/** Shows it, or nothing to anybody else. @param {string} sled */
export async function showInspection(sled) {
  const due = /** @type {Due|undefined} */ (await getForCrew(`/v1/sleds/${encodeURIComponent(sled)}/due`));
  const place = byId('before-hook', HTMLDivElement);
  place.hidden = !due;
  if (!due) {
    place.replaceChildren();
    return;
  }
  const words = due.items.length === 0 ? 'nothing is on the list yet' : [countWords(due), forShowWords(due.show)].join(' ').trim();
  place.replaceChildren(...notWellNotice(due),
    el('p', {}, el('a', { class: 'button', href: address('/inspection', { sled }) }, 'Before the first hook'), ' ',
      el('span', { class: 'about' }, words)));
}
