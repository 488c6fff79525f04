// @ts-check
// This crew's own readings of a sled of another crew, with how they fit its owner's chart.

import { cardTable } from '../../lib/cardtable.js';
import { dateWords } from '../../lib/dates.js';
import { byId, el } from '../../lib/dom.js';
import { counted, isolated } from '../../lib/text.js';
import { noted } from '../../lib/units.js';
import { settingWords } from '../../model/showwords.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Chart, Sled } from '../../model/types.js' */

/** Shows them, nothing where there are none. @param {Sled} sled @param {Chart} chart @param {Units} units */
export function showOwn(sled, { own_readings: own = [] }, units) {
  const place = byId('own', HTMLElement);
  place.hidden = !sled.guest || own.length === 0;
  if (!sled.guest || own.length === 0) return;
  const owner = isolated(sled.guest.owner);
  const fits = own.filter(({ fits: does }) => does).length;
  byId('own-about', HTMLParagraphElement).textContent =
    `Of ${counted(own.length, 'reading')}, ${counted(fits, 'fits', 'fit')} what ${owner} measured. The chart does not rest on them: ` +
    `it stays that of ${owner}.`;
  byId('own-list', HTMLDivElement).replaceChildren(cardTable(`Our own readings of ${isolated(sled.name)}`,
    ['Measured on', 'Gear', 'Topped out', 'Beside its owner’s chart'], own.toReversed().map((one) => el('tr', {},
      el('th', { scope: 'row' }, dateWords(one.measured_on)), el('td', {}, settingWords(one.gear, one.start_ft, units)),
      el('td', {}, noted(one.distance_ft, units)), el('td', {}, one.detail)))));
}
