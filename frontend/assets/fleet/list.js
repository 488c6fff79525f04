// @ts-check
// The list of sleds, with retired ones in a section of their own.

import { demoButton, demoNotice } from '../frame/demo.js';
import { address, getAll } from '../lib/api.js';
import { byId, el } from '../lib/dom.js';
import { counted } from '../lib/text.js';
import { currentUnits, noted } from '../lib/units.js';
import { guestLines } from '../model/guest.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sled } from '../model/types.js' */

/** Loads and shows the sleds. The result shows them in other units. @returns {Promise<(units: Units) => void>} */
export async function showSleds() {
  const again = () => location.reload();
  const [sleds] = await Promise.all([
    /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds')), demoNotice(byId('demo', HTMLDivElement), again)]);
  const show = (/** @type {Units} */ now) => {
    const inUse = sleds.filter(({ retired }) => !retired);
    const retired = sleds.filter((sled) => sled.retired);
    byId('no-sleds', HTMLDivElement).hidden = sleds.length > 0;
    byId('import', HTMLElement).hidden = sleds.length === 0;
    byId('sleds', HTMLUListElement).replaceChildren(...inUse.map((sled) => item(sled, now)));
    byId('retired', HTMLUListElement).replaceChildren(...retired.map((sled) => item(sled, now)));
    byId('retired-section', HTMLElement).hidden = retired.length === 0;
  };
  show(currentUnits());
  const empty = byId('no-sleds', HTMLDivElement);
  if (sleds.length === 0 && empty.childElementCount === 1) empty.append(demoButton(again));
  return show;
}

// The pages of a sled beside its own.
const DOORS = [['/note', 'Note'], ['/parts', 'Parts'], ['/what-if', 'What if'], ['/weights', 'Weights']];

/** @param {Sled} sled @param {Units} units */
function item(sled, units) {
  const facts = [
    `Gears ${sled.gears.map(({ label }) => label).join(', ')}`,
    sled.travel_ft === undefined ? 'travel not taped' : `travel ${noted(sled.travel_ft, units)}`,
    sled.readings === 0 ? 'no readings yet' : counted(sled.readings, 'reading'),
  ];
  if (sled.owner && !sled.guest) facts.unshift(sled.owner);
  if (sled.invented) facts.unshift('Invented for the demo');
  return el('li', {},
    el('a', { href: address('/fleet', { sled: sled.id }) }, sled.name), ' ', el('code', {}, sled.id),
    ...guestLines(sled.guest), el('p', {}, facts.join('\u00a0· ')),
    el('ul', { class: 'doors', 'aria-label': sled.name },
      ...DOORS.map(([path, words]) => el('li', {}, el('a', { href: address(path, { sled: sled.id }) }, words)))));
}
