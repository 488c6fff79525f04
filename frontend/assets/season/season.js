// @ts-check
// The season by class: planned, set, outcome. Classes that were moved in one direction come first.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { address, get, getAll, onlyLatest, Problem } from '../lib/api.js';
import { cardTable } from '../lib/cardtable.js';
import { dayWords } from '../lib/dates.js';
import { byId, control, el, putText } from '../lib/dom.js';
import { onSubmit, showFaults, throwFaults } from '../lib/forms.js';
import { counted, isolated, nameOf } from '../lib/text.js';
import { about, finely } from '../lib/units.js';
import { leftOut, offerToLeaveOut } from '../model/guest.js';
import { outcomeWords, settingWords } from '../model/showwords.js';

/** @import { Season, SeasonClass, SeasonLine, Show } from '../model/showtypes.js' */
/** @import { Sled } from '../model/types.js' */

/** @type {{season: Season, shows: Show[], sleds: Sled[]}|undefined} */
let now;
let units = startFrame((chosen) => {
  units = chosen;
  if (!now) return;
  const { shows, sleds, season: { since, until } } = now;
  show();
  latest(getSeason(since ?? null, until ?? null), (season) => {
    now = { season, shows, sleds };
    show();
  });
});
const latest = onlyLatest();
const form = byId('span', HTMLFormElement);

setTitle('The season');
onSubmit(form, async () => {
  const { since, until } = span();
  throwFaults(since && until && since > until ? [{ at: 'since', detail: 'The first day lies after the last.' }] : []);
  await load();
  const guests = leftOut(form);
  history.replaceState(null, '', address('/season', { since: since || undefined, until: until || undefined, guests, units }));
});
start();

function start() {
  const link = new URLSearchParams(location.search);
  offerToLeaveOut(form, [], link);
  for (const name of ['since', 'until']) control(form, name).value = link.get(name) ?? '';
  load(!link.has('since') && !link.has('until')).catch((error) => {
    if (error instanceof Problem && error.faults.length > 0) {
      showFaults(form, error);
      return;
    }
    showPageProblem(error);
  });
}

function span() {
  return { since: control(form, 'since').value, until: control(form, 'until').value };
}

/** @param {boolean} [soFar]  the year of the last show that is over, because the next season may be booked already */
async function load(soFar = false) {
  const [shows, sleds] = await Promise.all([
    /** @type {Promise<Show[]>} */ (getAll('/v1/shows')), /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds'))]);
  offerToLeaveOut(form, sleds, new URLSearchParams({ guests: leftOut(form) ?? '' }));
  const last = shows.find(({ over }) => over)?.date;
  if (soFar && last) {
    control(form, 'since').value = `${last.slice(0, 4)}-01-01`;
    control(form, 'until').value = last;
  }
  const { since, until } = span();
  const season = await getSeason(since, until);
  control(form, 'since').value = season.since ?? '';
  control(form, 'until').value = season.until ?? '';
  now = { season, shows, sleds };
  show();
}

/** @param {string|null} since @param {string|null} until @returns {Promise<Season>} */
function getSeason(since, until) {
  return get('/v1/season', { query: { since: since || undefined, until: until || undefined, guests: leftOut(form), units } });
}

function show() {
  if (!now) return;
  const { season } = now;
  const moved = season.classes.filter((one) => one.moved_one_way)
    .sort((a, b) => Math.abs(b.mean_moved_ft ?? 0) - Math.abs(a.mean_moved_ft ?? 0));
  const others = season.classes.filter((one) => !one.moved_one_way);
  byId('about', HTMLParagraphElement).textContent = season.shows === 0
    ? 'No shows in that time.'
    : `${counted(season.shows, 'show')} from ${dayWords(season.since ?? '')} to ${dayWords(season.until ?? '')}. ` +
      (moved.length === 0 ? 'No class keeps being moved in one direction by more than chance explains.' : '');
  putText('caution', season.shows === 0 ? '' : season.caution);
  byId('moved', HTMLElement).hidden = moved.length === 0;
  byId('others', HTMLElement).hidden = others.length === 0;
  byId('others-heading', HTMLHeadingElement).textContent = moved.length === 0 ? 'By class' : 'The other classes';
  byId('moved-classes', HTMLDivElement).replaceChildren(...moved.map(section));
  byId('other-classes', HTMLDivElement).replaceChildren(...others.map(section));
}

/** @param {SeasonClass} it */
function section(it) {
  return el('section', { class: it.moved_one_way ? 'class moved-one-way' : 'class' }, el('h3', {}, it.name),
    el('p', { class: 'says' }, it.detail),
    cardTable(`${isolated(it.name)}, show by show`, ['Show', 'Planned', 'Set', 'So it was moved', 'What happened'], it.lines.map(line)));
}

/** "3.2 ft later". @param {number} feet */
function movedBy(feet) {
  return `${finely(Math.abs(feet), units)} ${feet > 0 ? 'later' : 'earlier'}`;
}

/** @param {SeasonLine} it */
function line(it) {
  const { shows, sleds } = /** @type {{shows: Show[], sleds: Sled[]}} */ (now);
  const name = shows.find(({ id }) => id === it.show)?.name ?? it.show;
  return el('tr', {},
    el('th', { scope: 'row' }, el('a', { href: address('/shows', { show: it.show }) }, name),
      el('small', {}, `${dayWords(it.date)}, ${it.sled === null ? 'no sled booked' : nameOf(it.sled, sleds)}`)),
    setting(it.planned_gear, it.planned_start_ft, it.planned_ft, 'no answer'),
    setting(it.set_gear, it.set_start_ft, it.set_ft, 'not noted'),
    el('td', {}, it.moved_ft === null ? '' : Math.abs(it.moved_ft) < 0.05 ? 'not at all' : movedBy(it.moved_ft)),
    el('td', {}, outcomeWords(it.outcome, units)));
}

/** @param {string|null} gear @param {number|null} startFt @param {number|null} feet @param {string} none */
function setting(gear, startFt, feet, none) {
  if (gear === null) return el('td', {}, none);
  return el('td', {}, settingWords(gear, startFt ?? 0, units), feet !== null && el('small', {}, `tops out at about ${about(feet, units)}`));
}
