// @ts-check
// Which sled to book: the ranking of all sleds, the last run of each class, and a comparison with another sled.

import { get, messageOf, onlyLatest, Problem } from '../lib/api.js';
import { cardTable } from '../lib/cardtable.js';
import { dayWords } from '../lib/dates.js';
import { byId, el, row } from '../lib/dom.js';
import { counted, isolated, nameOf } from '../lib/text.js';
import { about, fixed, fromFeet } from '../lib/units.js';
import { against, outcomeWords, sheetGuests, sureWords, tonightWords } from '../model/showwords.js';
import { chanceWords, startWords, SURE } from '../model/words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Candidates, Sheet, Show } from '../model/showtypes.js' */
/** @import { Answer, Sled } from '../model/types.js' */

/** @typedef {{show: Show, sleds: Sled[], candidates: Candidates}} Booking */

export class BookSection {
  #path;
  #units;
  #callbacks;
  #place = byId('candidates', HTMLDivElement);
  #last = byId('last-time', HTMLDivElement);
  #changes = byId('changes', HTMLElement);
  /** @type {Booking|undefined} */
  #now;
  /** The sled that is compared, with its sheet. @type {{sled: string, sheet: Sheet}|undefined} */
  #chosen;
  #latest = onlyLatest();

  /**
   * @param {string} path  of the show
   * @param {Units} units
   * @param {{book: (sled: string) => Promise<void>, reload: () => Promise<void>}} callbacks
   */
  constructor(path, units, callbacks) {
    this.#path = path;
    this.#units = units;
    this.#callbacks = callbacks;
  }

  /** @param {Booking} now */
  show(now) {
    this.#now = now;
    const { show, candidates } = now;
    const none = show.classes.length === 0;
    byId('book', HTMLElement).hidden = none || candidates.items.length === 0;
    byId('book-over', HTMLParagraphElement).hidden = !show.over;
    this.#place.replaceChildren(this.#ranking(candidates, show));
    this.#last.replaceChildren(this.#lastTimes(now));
    this.#showChanges();
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    if (this.#now) this.show(this.#now);
    const sled = this.#chosen?.sled;
    if (sled) this.#latest(this.#sheetOn(sled), (sheet) => {
      if (this.#chosen?.sled !== sled) return;
      this.#chosen = { sled, sheet };
      this.#showChanges();
    });
  }

  /** @param {Candidates} candidates @param {Show} show */
  #ranking(candidates, show) {
    const name = (/** @type {string|null} */ id) => candidates.last_time.find((one) => one.class === id)?.name ?? id ?? '';
    const rows = candidates.items.map((it) => el('tr', { class: it.booked ? 'chosen' : '', 'data-sled': it.sled },
      el('th', { scope: 'row' }, it.name, it.booked && el('small', {}, 'booked'), it.guest && el('small', {}, it.guest.detail),
        it.known < show.classes.length && el('small', {}, `answers ${it.known} of ${counted(show.classes.length, 'class', 'classes')}`)),
      el('td', {}, it.mean_ft === null ? 'nothing known' : this.#off(it.mean_ft)),
      el('td', {}, it.worst_ft === null ? '' : this.#off(it.worst_ft), it.worst_class && el('small', {}, name(it.worst_class))),
      el('td', {}, it.chance_within_5_ft === null ? 'not known' : chanceWords(it.chance_within_5_ft)),
      el('td', {}, it.weights?.detail ?? ''),
      el('td', {}, !it.booked && !show.over && el('button', {
        type: 'button', 'aria-label': `Compare ${isolated(it.name)} with what is booked`, onclick: () => this.#compare(it.sled, it.name),
      }, 'Compare'))));
    const within = this.#units === 'm' ? `within ${fixed(fromFeet(5, 'm'), 1)}\u00a0m` : 'within 5\u00a0ft';
    return cardTable('Every sled, nearest first',
      ['Sled', 'Off on average', 'Worst', `Chance that all are ${within}`, 'In weight', ''], rows);
  }

  /** A mean of distances has no ±; it is shown to a tenth. @param {number} feet */
  #off(feet) {
    return `${fixed(fromFeet(feet, this.#units), 1)}\u00a0${this.#units}`;
  }

  /** @param {Booking} now */
  #lastTimes({ candidates, sleds }) {
    const rows = candidates.last_time.map(({ name, last }) => {
      if (!last) return row(name, ['no earlier show', '', '', '']);
      const full = last.outcome?.full_pulls;
      const hooks = last.outcome?.hooks;
      return el('tr', {}, el('th', { scope: 'row' }, name),
        el('td', {}, el('strong', {}, last.gear), ` on ${nameOf(last.sled, sleds)}, from ${startWords(last.start_ft, this.#units)}`,
          !last.noted && el('small', {}, 'as the sheet said; what was set was not noted')),
        el('td', {}, last.top_out_ft === null ? 'not known' : about(last.top_out_ft, this.#units)),
        el('td', {}, full === undefined ? 'not noted' : hooks === undefined ? String(full) : `${full} of ${hooks}`,
          el('small', {}, outcomeWords(last.outcome && { longest_ft: last.outcome.longest_ft, felt: last.outcome.felt }, this.#units))),
        el('td', {}, last.here ? 'here' : last.place || 'elsewhere', el('small', {}, `${last.show_name}, ${dayWords(last.date)}`)));
    });
    return cardTable('What each class ran on last time', ['Class', 'Ran on', 'Topped out at about', 'Went full', 'Where'], rows);
  }

  /** Compares another sled. @param {string} sled @param {string} name */
  async #compare(sled, name) {
    try {
      this.#chosen = { sled, sheet: await this.#sheetOn(sled) };
      this.#showChanges();
    } catch (error) {
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
    return get(`${this.#path}/sheet`, { query: { sled, units: this.#units } });
  }

  #showChanges() {
    const { show, sleds } = /** @type {Booking} */ (this.#now);
    if (!this.#chosen || this.#chosen.sled === show.sled || show.over) {
      this.#chosen = undefined;
      this.#changes.hidden = true;
      return;
    }
    const { sheet } = this.#chosen;
    const booked = nameOf(show.sled, sleds);
    const rows = sheet.rows.map((row) => el('tr', {}, el('th', { scope: 'row' }, row.name),
      this.#side(row.booked ?? row.tonight), this.#side(row.tonight), el('td', {}, nearer(row.booked, row.tonight))));
    const run = sheet.rows.some((row) => row.as_run.length > 0);
    const button = el('button', { type: 'button', class: 'primary', 'data-needs': 'promoter' }, `Book ${isolated(sheet.sled_name)}`);
    const status = el('div', { role: 'status' });
    button.addEventListener('click', () => this.#book(button, status));
    this.#changes.hidden = false;
    this.#changes.replaceChildren(
      el('h3', { id: 'changes-heading' }, `${isolated(sheet.sled_name)} instead of ${booked}`),
      ...sheetGuests(sheet).map((said) => el('p', {}, said)),
      cardTable(`What would change on ${isolated(sheet.sled_name)}`,
        ['Class', `On ${booked}, booked now`, `On ${isolated(sheet.sled_name)}`, 'So it is'], rows),
      el('p', { class: 'hint', hidden: !run }, `What was noted as run so far stays noted, on ${booked}.`), status,
      el('div', { class: 'actions' }, button, el('button', { type: 'button', onclick: () => this.#close() }, `Leave ${booked} booked`)));
  }

  #close() {
    this.#chosen = undefined;
    this.#showChanges();
    byId('book', HTMLElement).focus();
  }

  /** @param {Answer} answer */
  #side(answer) {
    if (!answer.nearest) return el('td', {}, 'not known', el('small', {}, answer.detail ?? ''));
    const sure = sureWords(answer);
    return el('td', {}, tonightWords(answer, this.#units), el('small', {}, against(answer, this.#units)),
      sure !== SURE.clear && el('small', {}, sure));
  }

  /** @param {HTMLButtonElement} button @param {HTMLElement} status */
  async #book(button, status) {
    const { sled, sheet } = /** @type {{sled: string, sheet: Sheet}} */ (this.#chosen);
    button.disabled = true;
    status.replaceChildren();
    try {
      await this.#callbacks.book(sled);
      byId('sheet-heading', HTMLElement).focus();
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
      await this.#callbacks.reload();
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
