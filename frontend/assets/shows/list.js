// @ts-check
// The list of shows and classes, with forms for new ones.

import { withKey } from '../account/key.js';
import { address, getAll, request, Sending } from '../lib/api.js';
import { startSaving } from '../lib/csv.js';
import { today } from '../lib/dates.js';
import { byId, control, el } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { counted, nameOf } from '../lib/text.js';
import { whenAndWhere } from '../model/showwords.js';
import { anyWeighed } from '../model/sleds.js';
import { ClassForm } from './classform.js';
import { ClassList } from './classlist.js';
import { ShowFields } from './form.js';

/** @import { Fault } from '../lib/api.js' */
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
  const fields = startNewShow(shows, classes, sleds, units);

  const put = (/** @type {PullingClass[]} */ now) => {
    fields.classes = now;
    classList.show(now);
    byId('no-classes', HTMLParagraphElement).hidden = now.length > 0 || sleds.length === 0;
    byId('classes-csv', HTMLButtonElement).hidden = now.length === 0;
    byId('new-show', HTMLElement).hidden = now.length === 0;
    byId('to-new-show', HTMLAnchorElement).hidden = now.length === 0;
  };
  opens('to-new-show', 'new-show-fold');
  opens('to-new-class', 'new-class-fold');
  const classList = new ClassList(byId('classes-list', HTMLUListElement), sleds, units, async () => put(await getAll('/v1/classes')));
  const newClass = new ClassForm(sleds, units, { stored: async () => put(await getAll('/v1/classes')) });
  byId('new-class-form', HTMLDivElement).append(newClass.element);
  byId('no-fleet', HTMLParagraphElement).hidden = sleds.length > 0;
  byId('new-class', HTMLElement).hidden = sleds.length === 0;
  byId('to-new-class', HTMLAnchorElement).hidden = sleds.length === 0;
  byId('new-class-fold', HTMLDetailsElement).open = classes.length === 0;
  byId('new-show-fold', HTMLDetailsElement).open = shows.length === 0;
  put(classes);
  const status = byId('classes-status', HTMLParagraphElement);
  startSaving('classes-csv', (text) => { status.textContent = text; }, () => ({ path: '/v1/classes.csv', name: 'classes.csv' }));
  return (now) => {
    classList.setUnits(now);
    newClass.setUnits(now);
    fields.track.setUnits(now);
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
  const now = today(zone);
  if (date === now) return 'Today';
  return date < now ? 'Still open' : 'The next one';
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

/** @param {Show[]} shows @param {PullingClass[]} classes @param {Sled[]} sleds @param {Units} units */
function startNewShow(shows, classes, sleds, units) {
  const form = byId('new-show-form', HTMLFormElement);
  const fields = new ShowFields(form, 'new-show', classes, units, anyWeighed(sleds));
  const sending = new Sending();
  const sled = control(form, 'sled');
  sled.append(el('option', { value: '' }, 'None yet'),
    ...sleds.filter(({ retired }) => !retired).map(({ id, name }) => el('option', { value: id }, name)));
  const like = byId('new-show-like', HTMLSelectElement);
  like.append(...shows.map(({ id, name, date }) => el('option', { value: id }, `${name}, ${date}`)));
  const likeField = byId('new-show-like-field', HTMLDivElement);
  likeField.hidden = shows.length === 0;
  form.querySelector('[data-at="classes"]')?.after(likeField);
  byId('new-show-take', HTMLButtonElement).addEventListener('click', () => {
    const from = shows.find(({ id }) => id === like.value);
    // Only adds classes.
    if (from) fields.order = [...fields.order, ...from.classes.filter((id) => !fields.order.includes(id))];
  });
  onSubmit(form, async () => {
    /** @type {Fault[]} */
    const faults = [];
    const show = { ...fields.read(faults), sled: sled.value || null };
    throwFaults(faults);
    const { data } = /** @type {{data: Show}} */ (await withKey(() =>
      request('POST', '/v1/shows', { body: show, idempotencyKey: sending.keyFor(JSON.stringify(show)) })));
    sending.finished();
    location.assign(address('/shows', { show: data.id }));
  });
  return fields;
}
