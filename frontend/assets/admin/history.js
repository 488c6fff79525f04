// @ts-check
// The history: each entry as a sentence, with the values before and after it in a fold.

import { get, getAll } from '../lib/api.js';
import { momentWords } from '../lib/dates.js';
import { byId, el, putInLink, table } from '../lib/dom.js';
import { attempt } from '../lib/forms.js';
import { changedFields, entrySentence } from './historywords.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Sled } from '../model/types.js' */
/** @import { Entry, Field, Names } from './historywords.js' */

const PAGE = 20;
const THE_PROGRAM = 'the program itself'; // as the API names it: the demo, and sheets closed by date

export class History {
  #units;
  /** @type {Entry[]} */
  #entries = [];
  /** @type {string|null} */
  #next = null;
  /** @type {Names} */
  #names = { sleds: new Map(), classes: new Map(), shows: new Map() };
  /** Everybody who has a key or occurs in the history. @type {Set<string>} */
  #people = new Set();
  #version = 0;
  #sled = byId('history-sled', HTMLSelectElement);
  #who = byId('history-who', HTMLSelectElement);
  #more = byId('history-more', HTMLButtonElement);
  #filters;

  /** @param {Units} units */
  constructor(units) {
    this.#units = units;
    const link = new URLSearchParams(location.search);
    this.#filters = { sled: link.get('sled') ?? '', who: link.get('who') ?? '' };
    byId('history-form', HTMLFormElement).addEventListener('change', () => this.#filter());
    byId('history-form', HTMLFormElement).addEventListener('submit', (event) => event.preventDefault());
    this.#more.addEventListener('click', () => this.#older());
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    this.#show();
  }

  /** Fetches the newest entries, and the names of sleds, classes and shows. */
  async load() {
    await this.#attempt(async (version) => {
      const [page, sleds, classes, shows, keys] = await Promise.all([
        this.#page(),
        /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds')),
        /** @type {Promise<{id: string, name: string}[]>} */ (getAll('/v1/classes')),
        /** @type {Promise<{id: string, name: string, date: string}[]>} */ (getAll('/v1/shows')),
        /** @type {Promise<{items: {name: string}[]}>} */ (get('/v1/keys')),
      ]);
      if (version !== this.#version) return;
      this.#names = {
        sleds: new Map(sleds.map(({ id, name }) => [id, name])),
        classes: new Map(classes.map(({ id, name }) => [id, name])),
        shows: new Map(shows.map(({ id, name }) => [id, name])),
      };
      for (const { name } of keys.items) this.#people.add(name);
      this.#entries = page.items;
      this.#next = page.next;
      this.#show();
    });
  }

  /** Removes everything from the page after a sign-out. */
  clear() {
    this.#version++;
    this.#entries = [];
    this.#next = null;
    this.#people.clear();
    this.#show();
  }

  #filter() {
    this.#filters = { sled: this.#sled.value, who: this.#who.value };
    putInLink(this.#filters);
    return this.#attempt(async (version) => {
      const page = await this.#page();
      if (version !== this.#version) return;
      this.#entries = page.items;
      this.#next = page.next;
      this.#show();
    });
  }

  #older() {
    this.#more.disabled = true;
    return this.#attempt(async (version) => {
      const page = await this.#page(this.#next ?? undefined);
      if (version !== this.#version) return;
      const first = this.#entries.length;
      this.#entries.push(...page.items);
      this.#next = page.next;
      this.#show(first);
    }).finally(() => { this.#more.disabled = false; });
  }

  /** @param {(version: number) => Promise<void>} work  ignores its result when a later call has begun */
  #attempt(work) {
    return attempt(byId('history-problem', HTMLParagraphElement), () => work(++this.#version));
  }

  /** @param {string} [after] @returns {Promise<{items: Entry[], next: string|null}>} */
  #page(after) {
    return get('/v1/history',
      { query: { sled: this.#filters.sled || undefined, who: this.#filters.who || undefined, limit: PAGE, after } });
  }

  /** @param {number} [focus]  index of the entry to focus */
  #show(focus) {
    for (const { who } of this.#entries) this.#people.add(who);
    choices(this.#sled, 'every sled and all else', [...this.#names.sleds], this.#filters.sled);
    choices(this.#who, 'everybody', [...this.#people].sort((a, b) => a.localeCompare(b)).map((name) => [name, name]), this.#filters.who);
    byId('history-about', HTMLParagraphElement).textContent = this.#entries.length > 0 ? '' : 'Nothing is in it.';
    const list = byId('history-list', HTMLOListElement);
    list.replaceChildren(...this.#entries.map((entry) => this.#item(entry)));
    this.#more.hidden = this.#next === null;
    const to = focus === undefined ? undefined : list.children[focus];
    if (to instanceof HTMLElement) to.focus();
  }

  /** @param {Entry} entry */
  #item(entry) {
    const key = entry.who !== THE_PROGRAM && `with ${entry.role === 'operator' ? 'an operator’s' : `a ${entry.role}’s`} key`;
    const fields = changedFields(entry, this.#names, this.#units);
    return el('li', { tabindex: '-1' },
      el('p', {}, entrySentence(entry, this.#names, this.#units)),
      el('p', { class: 'about' }, [momentWords(entry.at), key].filter(Boolean).join('\u00a0· ')),
      fields.length > 0 && el('details', {},
        el('summary', {}, entry.before !== null && entry.after !== null ? 'From what to what' : 'All of it'), fieldTable(entry, fields)));
  }
}

/** @param {Entry} entry @param {Field[]} fields */
function fieldTable(entry, fields) {
  const hasBefore = entry.before !== null;
  const hasAfter = entry.after !== null;
  const rows = fields.map(({ label, before, after }) => el('tr', {},
    el('th', { scope: 'row' }, label), hasBefore && el('td', {}, before), hasAfter && el('td', {}, after)));
  return table('What changed', ['', ...(hasBefore ? ['Before'] : []), ...(hasAfter ? ['Since'] : [])], rows, 'text');
}

/**
 * @param {HTMLSelectElement} select
 * @param {string} all
 * @param {[string, string][]} values  each with its label
 * @param {string} chosen  is offered even when the list lacks it
 */
function choices(select, all, values, chosen) {
  const known = chosen === '' || values.some(([value]) => value === chosen)
    ? values
    : [...values, /** @type {[string, string]} */ ([chosen, chosen])];
  select.replaceChildren(el('option', { value: '' }, all), ...known.map(([value, label]) => el('option', { value }, label)));
  select.value = chosen;
}
