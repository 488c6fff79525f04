// @ts-check
// What to measure next on a sled: the readings that would reduce its ± most, best first.

import { get } from '../../lib/api.js';
import { byId, el } from '../../lib/dom.js';
import { finely } from '../../lib/units.js';
import { startWords } from '../../model/words.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Advice } from '../../model/types.js' */

const SHOWN = 5;

/** @param {string} sledPath @returns {Promise<Advice[]>} */
export async function loadAdvice(sledPath) {
  /** @type {{items: Advice[]}} */
  const { items } = await get(`${sledPath}/advice`, { query: { most: SHOWN } });
  return items;
}

/** @param {Advice[]} items @param {Units} units */
export function showAdvice(items, units) {
  byId('advice', HTMLElement).hidden = items.length === 0;
  byId('advice-list', HTMLOListElement).replaceChildren(...items.map((item) => el('li', {},
    el('strong', {}, `${item.gear} from ${startWords(item.start_ft, units)}`), `: ${gain(item, units)}`)));
}

/** @param {Advice} item @param {Units} units */
function gain({ plus_minus_ft: now, then_ft: then }, units) {
  if (now === null) return `nothing is known of it; then ±\u00a0${finely(then, units)}.`;
  return `±\u00a0${finely(now, units)} now, ±\u00a0${finely(then, units)} then.`;
}
