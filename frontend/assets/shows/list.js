// @ts-check
// The list of shows and classes. The forms for new ones are loaded once it is shown.

import { address, getAll } from '../lib/api.js';
import { startSaving } from '../lib/csv.js';
import { whenIs } from '../lib/dates.js';
import { byId, el } from '../lib/dom.js';
import { counted, nameOf } from '../lib/text.js';
import { whenAndWhere } from '../model/showwords.js';
import { ClassList } from './classlist.js';

/** @import { Units } from '../lib/units.js' */
/** @import { PullingClass, Show } from '../model/showtypes.js' */
/** @import { Sled } from '../model/types.js' */

// Past shows to show at first.
const PAST_SHOWN = 3;

/** Loads and shows everything. The result switches the units. @param {Units} units @returns {Promise<(units: Units) => void>} */
export async function showShows(units) {
  const [shows, classes, sleds] = await Promise.all([
    /** @type {Promise<Show[]>} */ (getAll('/v1/shows')), /** @type {Promise<PullingClass[]>} */ (getAll('/v1/classes')),
    /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds'))]);
  list(shows, sleds);
  const put = (/** @type {PullingClass[]} */ now) => {
    classList.show(now);
    byId('no-classes', HTMLParagraphElement).hidden = now.length > 0 || sleds.length === 0;
    byId('classes-csv', HTMLButtonElement).hidden = now.length === 0;
    byId('new-show', HTMLElement).hidden = now.length === 0;
    byId('to-new-show', HTMLAnchorElement).hidden = now.length === 0;
  };
  /** Shows the classes as they are now. */
  const again = async () => {
    const now = /** @type {PullingClass[]} */ (await getAll('/v1/classes'));
    (await adding).setClasses(now);
    put(now);
  };
  const classList = new ClassList(byId('classes-list', HTMLUListElement), sleds, units, again);
  opens('to-new-show', 'new-show-fold');
  opens('to-new-class', 'new-class-fold');
  byId('no-fleet', HTMLParagraphElement).hidden = sleds.length > 0;
  byId('new-class', HTMLElement).hidden = sleds.length === 0;
  byId('to-new-class', HTMLAnchorElement).hidden = sleds.length === 0;
  byId('new-class-fold', HTMLDetailsElement).open = classes.length === 0;
  byId('new-show-fold', HTMLDetailsElement).open = shows.length === 0;
  put(classes);
  const status = byId('classes-status', HTMLParagraphElement);
  startSaving('classes-csv', (text) => { status.textContent = text; }, () => ({ path: '/v1/classes.csv', name: 'classes.csv' }));
  byId('list-view', HTMLDivElement).hidden = false;
  const adding = import('./adding.js').then(({ startAdding }) => startAdding(shows, classes, sleds, units, again));
  const { setUnits } = await adding;
  return (now) => {
    classList.setUnits(now);
    setUnits(now);
  };
}

/** Opens the fold that a link leads to. @param {string} link @param {string} fold */
function opens(link, fold) {
  byId(link, HTMLAnchorElement).addEventListener('click', () => { byId(fold, HTMLDetailsElement).open = true; });
}

/** @param {Show[]} shows @param {Sled[]} sleds */
function list(shows, sleds) {
  // Past are shows that are over, by date or because somebody closed them.
  const ahead = shows.filter(({ over }) => !over).sort((a, b) => a.date.localeCompare(b.date));
  const past = shows.filter(({ over }) => over);
  byId('no-shows', HTMLParagraphElement).hidden = shows.length > 0;
  byId('shows-ahead', HTMLUListElement).replaceChildren(...ahead.map((show, place) =>
    item(show, sleds, place === 0 ? nearWords(show) : '')));
  const showPast = (/** @type {number} */ max) => {
    byId('shows-past', HTMLUListElement).replaceChildren(...past.slice(0, max).map((show) => item(show, sleds, '')));
    more.hidden = past.length <= max;
  };
  const more = byId('past-more', HTMLButtonElement);
  more.addEventListener('click', () => showPast(past.length));
  showPast(PAST_SHOWN);
  byId('past', HTMLElement).hidden = past.length === 0;
  byId('to-past', HTMLAnchorElement).hidden = past.length === 0;
}

/** @param {Show} show */
function nearWords({ date, zone }) {
  const when = whenIs(date, zone);
  if (when === 0) return 'Today';
  return when < 0 ? 'Still open' : 'The next one';
}

/** @param {Show} show @param {Sled[]} sleds @param {string} near */
function item(show, sleds, near) {
  const classes = show.classes.length === 0 ? 'no classes yet' : counted(show.classes.length, 'class', 'classes');
  return el('li', { class: near && 'next' },
    near && el('p', { class: 'near' }, near),
    el('a', { href: address('/shows', { show: show.id }) }, show.name),
    el('p', {}, whenAndWhere(show)),
    el('p', {}, `${show.sled === null ? 'no sled yet' : nameOf(show.sled, sleds)} · ${classes}`));
}
