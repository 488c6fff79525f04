// @ts-check
// The Tonight page before anything is asked: the next show, and the ladders of the fleet as a drawing and as links.

import { address, get } from '../lib/api.js';
import { dayWords, whenIs } from '../lib/dates.js';
import { byId, el } from '../lib/dom.js';
import { picture } from '../lib/picture.js';
import { counted, nameOf } from '../lib/text.js';
import { guestLines } from '../model/guest.js';
import { topOutTonight } from '../model/words.js';
import { linkTo, withTheOther } from './question.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Guest } from '../model/guest.js' */
/** @import { Show } from '../model/showtypes.js' */
/** @import { Sled, TableRow } from '../model/types.js' */

/** @typedef {Pick<TableRow, 'gear'|'top_out_ft'|'tonight_low_ft'|'tonight_high_ft'>} Rung */
/** @typedef {{items: {sled: string, name: string, guest?: Guest, rungs: Rung[]}[], caution: string}} Ladders */

// More do not stand side by side on a screen; the page How alike shows them all.
const MAX_LADDERS = 12;
// Shows come newest first, so that those ahead are among the first.
const SHOWS = 100;

/**
 * Loads and shows both. The result shows them in other units.
 * @param {Sled[]} sleds
 * @param {Units} units
 * @returns {Promise<(units: Units) => void>}
 */
export async function showFirst(sleds, units) {
  const few = sleds.filter(({ retired }) => !retired).length <= MAX_LADDERS;
  const [shows, ladders] = await Promise.all([
    /** @type {Promise<{items: Show[]}>} */ (get('/v1/shows', { query: { limit: SHOWS } })),
    few ? /** @type {Promise<Ladders>} */ (get('/v1/fleet/ladders')) : undefined,
  ]);
  const next = nextOf(shows.items);
  byId('next-show', HTMLElement).replaceChildren(...(next ? showCard(next, sleds) : nothingAhead(sleds)));
  const show = (/** @type {Units} */ now) => {
    if (ladders) showLadders(ladders, next?.sled ?? '', sleds, now);
  };
  show(units);
  return show;
}

/** The next show: the earliest that is not over. @param {Show[]} shows */
function nextOf(shows) {
  return shows.filter(({ over }) => !over).sort((a, b) => a.date.localeCompare(b.date)).at(0);
}

/** @param {Show} show @param {Sled[]} sleds */
function showCard(show, sleds) {
  const sheet = address('/shows', { show: show.id });
  const classes = show.classes.length === 0 ? 'no classes yet' : counted(show.classes.length, 'class', 'classes');
  const when = whenIs(show.date, show.zone);
  return [
    el('h2', {}, when === 0 ? 'Today' : when < 0 ? 'Still open' : 'The next show'),
    el('p', { class: 'name' }, show.name),
    el('p', {}, [dayWords(show.date), show.place].filter(Boolean).join('\u00a0· ')),
    el('p', {}, show.sled ? el('strong', {}, nameOf(show.sled, sleds)) : 'No sled yet', `\u00a0· ${classes}`),
    el('p', { class: 'actions' }, el('a', { class: 'button primary', href: sheet }, 'The sheet'),
      el('a', { class: 'button', href: address('/pullers', { show: show.id }) }, 'For pullers')),
  ];
}

/** What to do next where no show is planned. @param {Sled[]} sleds */
function nothingAhead(sleds) {
  const bare = sleds.find(({ retired, readings }) => !retired && readings === 0);
  return [
    el('h2', {}, 'No show is planned'),
    el('p', {}, 'A show puts every class on one sheet: the gear it is used to, and the gear to set on the sled that is there.'),
    bare && el('p', {}, `${bare.name} has no readings yet. One marked pull for each gear is a beginning.`),
    el('p', { class: 'actions' }, el('a', { class: 'button', href: '/shows' }, 'Plan a show'),
      bare && el('a', { class: 'button', href: address('/note', { sled: bare.id }) }, `Note readings of ${bare.name}`)),
  ].filter((part) => part instanceof Node);
}

/**
 * A gear asks about itself; of the next show's other sleds, on the sled that is booked.
 * @param {Ladders} ladders
 * @param {string} booked
 * @param {Sled[]} sleds
 * @param {Units} units
 */
function showLadders({ items, caution }, booked, sleds, units) {
  const known = items.filter(({ rungs }) => rungs.some(({ top_out_ft: at }) => at !== null));
  byId('ladders', HTMLElement).hidden = known.length === 0;
  byId('ladders-drawing', HTMLDivElement).replaceChildren(picture('/v1/fleet/ladders.svg', { units },
    'Where every gear of every sled tops out from full back, sled beside sled. The list beside it has the same numbers.', known));
  byId('ladders-list', HTMLDivElement).replaceChildren(...known.map(({ sled, name, guest, rungs }) => el('section', { class: 'ladder' },
    el('h3', {}, el('a', { href: address('/fleet', { sled, units }) }, name)), ...guestLines(guest),
    el('ul', {}, ...rungs.filter(({ top_out_ft: at }) => at !== null).map((rung) => {
      const asked = withTheOther({ sled, gear: rung.gear, topOut: 0, start: 0, on: booked === sled ? '' : booked }, sleds);
      return el('li', {}, el('a', { href: linkTo(asked, units) },
        el('strong', {}, rung.gear), ' ', el('span', {}, topOutTonight(rung, units))));
    })))));
  byId('ladders-caution', HTMLParagraphElement).textContent = caution;
}
