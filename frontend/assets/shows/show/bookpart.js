// @ts-check
// Which sled to book: the ranking of all sleds, the last run of each class, and a comparison with another sled.

import { get, messageOf, onlyLatest, Problem } from '../../lib/api.js';
import { cardTable } from '../../lib/cardtable.js';
import { dayWords } from '../../lib/dates.js';
import { byId, el } from '../../lib/dom.js';
import { attempt } from '../../lib/forms.js';
import { isolated, nameOf } from '../../lib/text.js';
import { about } from '../../lib/units.js';
import { against, outcomeWords, sheetGuests, sureWords, tonightWords } from '../../model/showwords.js';
import { startWords, SURE } from '../../model/words.js';

/** @import { Candidates, Sheet } from '../../model/showtypes.js' */
/** @import { Answer } from '../../model/types.js' */
/** @import { Part, ShowPage } from './page.js' */

/** @implements {Part} */
export class BookPart {
  #page;
  #place = byId('candidates', HTMLDivElement);
  #last = byId('last-time', HTMLDivElement);
  #changes = byId('changes', HTMLElement);
  /** @type {Candidates|undefined} */
  #candidates;
  /** The sled that is compared, with its sheet. @type {{sled: string, sheet: Sheet}|undefined} */
  #chosen;
  #latest = onlyLatest();

  /** Counts comparisons: an answer to an earlier one is out of date. */
  #turn = 0;

  /** @param {ShowPage} page */
  constructor(page) {
    this.#page = page;
    const problem = byId('unbook-problem', HTMLParagraphElement);
    byId('unbook', HTMLButtonElement).addEventListener('click', () => attempt(problem, () => page.put({ sled: null })));
  }

  async load() {
    const candidates = await this.#getCandidates();
    return () => this.#show(candidates);
  }

  unitsChanged() {
    if (this.#candidates) this.#show(this.#candidates);
    this.#latest(Promise.all([this.#getCandidates(), this.#chosen && this.#sheetOn(this.#chosen.sled)]), ([candidates, sheet]) => {
      if (sheet && this.#chosen?.sled === sheet.sled) this.#chosen.sheet = sheet;
      this.#show(candidates);
    });
  }

  /** @returns {Promise<Candidates>} */
  #getCandidates() {
    return get(`${this.#page.path}/candidates`, { query: { units: this.#page.units } });
  }

  /** @param {Candidates} candidates */
  #show(candidates) {
    this.#candidates = candidates;
    const { show } = this.#page;
    const none = show.classes.length === 0;
    byId('book-none', HTMLParagraphElement).hidden = !none;
    byId('book-body', HTMLDivElement).hidden = none || candidates.items.length === 0;
    byId('book-over', HTMLParagraphElement).hidden = !show.over;
    byId('unbook', HTMLButtonElement).hidden = show.over || show.sled === null;
    this.#place.replaceChildren(this.#ranking(candidates));
    byId('book-caution', HTMLParagraphElement).textContent = candidates.caution;
    this.#last.replaceChildren(...this.#lastTimes(candidates));
    this.#showChanges();
  }

  /** @param {Candidates} candidates */
  #ranking({ items }) {
    const { show } = this.#page;
    const label = show.sled === null ? 'Look at it' : 'Compare';
    const name = show.sled === null ? (/** @type {string} */ sled) => `Look at the sheet on ${sled}`
      : (/** @type {string} */ sled) => `Compare ${sled} with what is booked`;
    const rows = items.map((it) => el('tr', { class: it.booked ? 'chosen' : '', 'data-sled': it.sled },
      el('th', { scope: 'row' }, it.name, it.booked && el('small', {}, 'booked'),
        it.guest && el('small', {}, it.guest.detail)),
      el('td', {}, it.in_words),
      el('td', {}, it.weights && el('small', {}, it.weights.detail)),
      el('td', {}, !it.booked && !show.over && el('button', {
        type: 'button', 'aria-label': name(isolated(it.name)), onclick: () => this.#compare(it.sled, it.name),
      }, label))));
    return cardTable('Every sled, nearest first', ['Sled', 'Its gears come', 'In weight', ''], rows);
  }

  /** @param {Candidates} candidates */
  #lastTimes(candidates) {
    const { sleds, units } = this.#page;
    const never = candidates.last_time.filter(({ last }) => !last).map(({ name }) => name);
    const rows = candidates.last_time.flatMap(({ name, last }) => {
      if (!last) return [];
      const full = last.outcome?.full_pulls;
      const hooks = last.outcome?.hooks;
      const went = outcomeWords(last.outcome && { longest_ft: last.outcome.longest_ft, felt: last.outcome.felt }, units);
      return el('tr', {}, el('th', { scope: 'row' }, name),
        el('td', {}, el('strong', {}, last.gear), ` on ${nameOf(last.sled, sleds)}, from ${startWords(last.start_ft, units)}`,
          !last.noted && el('small', {}, 'as the sheet said; what was set was not noted')),
        el('td', {}, last.top_out_ft === null ? 'not known' : about(last.top_out_ft, units)),
        el('td', {}, full === undefined ? 'not noted' : hooks === undefined ? String(full) : `${full} of ${hooks}`,
          went && el('small', {}, went)),
        el('td', {}, last.here ? 'here' : last.place || 'elsewhere', el('small', {}, `${last.show_name}, ${dayWords(last.date)}`)));
    });
    return [never.length > 0 && el('p', {}, `No earlier show: ${never.join(', ')}.`),
      rows.length > 0 && cardTable('What each class ran on last time',
        ['Class', 'Ran on', 'Topped out at about', 'Went full', 'Where'], rows)].filter((part) => part instanceof Node);
  }

  /** Compares another sled. @param {string} sled @param {string} name */
  async #compare(sled, name) {
    const turn = ++this.#turn;
    try {
      const sheet = await this.#sheetOn(sled);
      if (turn !== this.#turn) return;
      this.#chosen = { sled, sheet };
      this.#showChanges();
    } catch (error) {
      if (turn !== this.#turn) return;
      this.#chosen = undefined;
      this.#changes.hidden = false;
      this.#changes.replaceChildren(el('p', { class: 'fault', role: 'alert' },
        `What ${name} would change could not be looked up. ${messageOf(error)}`));
    }
    this.#changes.scrollIntoView({ block: 'nearest' });
    this.#changes.focus({ preventScroll: true });
  }

  /** @param {string} sled @returns {Promise<Sheet>} */
  #sheetOn(sled) {
    return get(`${this.#page.path}/sheet`, { query: { sled, units: this.#page.units } });
  }

  #showChanges() {
    const { show, sleds } = this.#page;
    if (!this.#chosen || this.#chosen.sled === show.sled || show.over) {
      this.#chosen = undefined;
      this.#changes.hidden = true;
      return;
    }
    const { sheet } = this.#chosen;
    const booked = show.sled === null ? '' : isolated(nameOf(show.sled, sleds));
    const rows = sheet.rows.map((row) => el('tr', {}, el('th', { scope: 'row' }, row.name),
      booked ? this.#side(row.booked ?? row.tonight) : el('td', {}), this.#side(row.tonight),
      el('td', {}, booked && nearer(row.booked, row.tonight))));
    const run = sheet.rows.some((row) => row.as_run.length > 0);
    const button = el('button', { type: 'button', class: 'primary', 'data-needs': 'promoter' }, `Book ${isolated(sheet.sled_name)}`);
    const status = el('div', { role: 'status' });
    button.addEventListener('click', () => this.#book(button, status));
    this.#changes.hidden = false;
    const other = isolated(sheet.sled_name);
    this.#changes.replaceChildren(
      el('h3', { id: 'changes-heading' }, booked ? `${other} instead of ${booked}` : `The classes on ${other}`),
      ...sheetGuests(sheet).map((said) => el('p', {}, said)),
      cardTable(booked ? `What would change on ${other}` : `The classes on ${other}`,
        ['Class', `On ${booked}, booked now`, `On ${other}`, 'So it is'], rows),
      el('p', { class: 'hint', hidden: !run || !booked }, `What was noted as run so far stays noted, on ${booked}.`), status,
      el('div', { class: 'actions' }, button,
        el('button', { type: 'button', onclick: () => this.#close() }, booked ? `Leave ${booked} booked` : 'Not this one')));
  }

  #close() {
    this.#turn++;
    this.#chosen = undefined;
    this.#showChanges();
    byId('book', HTMLElement).focus();
  }

  /** @param {Answer} answer */
  #side(answer) {
    if (!answer.nearest) return el('td', {}, 'not known', el('small', {}, answer.detail ?? ''));
    const sure = sureWords(answer);
    return el('td', {}, tonightWords(answer, this.#page.units), el('small', {}, against(answer, this.#page.units)),
      sure !== SURE.clear && el('small', {}, sure));
  }

  /** @param {HTMLButtonElement} button @param {HTMLElement} status */
  async #book(button, status) {
    const { sled, sheet } = /** @type {{sled: string, sheet: Sheet}} */ (this.#chosen);
    button.disabled = true;
    status.replaceChildren();
    try {
      await this.#page.put({ sled });
      byId('book', HTMLElement).focus();
    } catch (error) {
      button.disabled = false;
      if (error instanceof Problem && error.status === 412) {
        const reload = el('button', { type: 'button' }, `Load what is there now and keep ${isolated(sheet.sled_name)} chosen`);
        reload.addEventListener('click', () => this.#reload(reload, status));
        status.replaceChildren(el('p', { class: 'notice' }, `${error.message} Nothing was booked.`), el('p', {}, reload));
        reload.focus();
      } else {
        status.replaceChildren(el('p', { class: 'fault' }, messageOf(error)));
      }
    }
  }

  /** Loads everything again and compares the same sled. @param {HTMLButtonElement} button @param {HTMLElement} status */
  async #reload(button, status) {
    const chosen = /** @type {{sled: string, sheet: Sheet}} */ (this.#chosen);
    button.disabled = true;
    try {
      const sheet = await this.#sheetOn(chosen.sled);
      this.#chosen = { sled: chosen.sled, sheet };
      await this.#page.load();
      if (this.#chosen) this.#changes.focus();
      else byId('book', HTMLElement).focus(); // that sled was booked meanwhile
    } catch (error) {
      button.disabled = false;
      status.append(el('p', { class: 'fault' }, messageOf(error)));
    }
  }
}

/** @param {Answer|null} booked @param {Answer} other */
function nearer(booked, other) {
  if (!booked?.nearest && !other.nearest) return 'not known on either';
  if (!booked?.nearest) return 'known only here';
  if (!other.nearest) return 'not known any more';
  const gain = Math.abs(booked.nearest.difference_ft) - Math.abs(other.nearest.difference_ft);
  if (Math.abs(gain) < 1) return 'about as near';
  return gain > 0 ? 'nearer' : 'further off';
}
