// @ts-check
// A sled's readings by day, newest first, with buttons to set one aside and bring it back. Facts that all readings of a day
// share stand once, above them.

import { mendReading, patchReading } from '../../account/readings.js';
import { get, messageOf, onlyLatest } from '../../lib/api.js';
import { dateWords } from '../../lib/dates.js';
import { askText } from '../../lib/dialogs.js';
import { byId, el } from '../../lib/dom.js';
import { attempt } from '../../lib/forms.js';
import { counted, isolated, sentence } from '../../lib/text.js';
import { noted } from '../../lib/units.js';
import { FIELDS, fieldWords } from '../../model/fields.js';
import { isAsideByOwner } from '../../model/guest.js';
import { endedWords, mendWords, startWords } from '../../model/words.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Check, Reading } from '../../model/types.js' */

const PAGE = 60;

export class ReadingList {
  #path;
  #units;
  #callbacks;
  /** @type {Reading[]} */
  #readings = [];
  /** @type {string|null} */
  #next = null;
  /** What the chart's checks say of readings. @type {Check[]} */
  #checks = [];
  /** Whether the sled is another crew's. */
  #isGuest = false;
  /** The days that are open: the last one, and those that somebody opened. @type {Map<string, boolean>} */
  #open = new Map();
  #latest = onlyLatest();
  #list = byId('readings-list', HTMLDivElement);
  #more = byId('readings-more', HTMLButtonElement);

  /**
   * @param {string} sledPath
   * @param {Units} units
   * @param {{changed: () => Promise<void>, correct: (reading: Reading) => void}} callbacks
   */
  constructor(sledPath, units, callbacks) {
    this.#path = `${sledPath}/readings`;
    this.#units = units;
    this.#callbacks = callbacks;
    this.#more.addEventListener('click', () => this.#older());
  }

  /** Fetches the newest readings again, as many as are shown. */
  async load() {
    const wanted = Math.max(PAGE, this.#readings.length);
    const page = this.#page(Math.min(wanted, 500));
    await this.#latest(page, ({ items, next }) => {
      this.#readings = items;
      this.#next = next;
      this.#show();
    });
    await page;
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    this.#show();
  }

  /** @param {Check[]} checks @param {boolean} isGuest */
  setChecks(checks, isGuest) {
    this.#checks = checks;
    this.#isGuest = isGuest;
    this.#show();
  }

  /**
   * The buttons that answer a check which a reading waits for: it counts nowhere until then.
   * @param {Check} check
   * @param {HTMLElement} problem  where an error is shown
   */
  answers({ reading: id = '', detail, counts, mend }, problem) {
    if (counts !== false) return [];
    const button = (/** @type {string} */ text, /** @type {() => Promise<void>} */ onclick) =>
      el('button', { type: 'button', 'aria-label': `${text}: ${detail}`, 'data-owner-only': text !== 'Set aside', onclick }, text);
    return [
      mend && button(mendWords(mend, this.#units), () => this.#after(problem, () => mendReading(id, mend))),
      button('Set aside', () => this.#setAside(id, detail, problem)),
      button('Use it', () => this.#patch(id, { confirmed: true }, problem)),
    ].filter((part) => part instanceof Node);
  }

  /** Scrolls to a reading. Fetches older ones until it is found. @param {string} id */
  async goTo(id) {
    while (!this.#readings.some((reading) => reading.id === id) && this.#next) await this.#older();
    this.#reveal(id)?.scrollIntoView({ block: 'center' });
  }

  /** Opens the day of a reading and puts the focus on the reading. @param {string} id */
  #reveal(id) {
    const item = document.getElementById(`reading-${id}`);
    const day = item?.closest('details');
    if (day) day.open = true;
    item?.focus();
    return item;
  }

  async #older() {
    this.#more.disabled = true;
    try {
      const page = await this.#page(PAGE, this.#next ?? undefined);
      this.#readings.push(...page.items);
      this.#next = page.next;
      this.#show();
    } catch (error) {
      byId('readings-about', HTMLParagraphElement).textContent = messageOf(error);
    } finally {
      this.#more.disabled = false;
    }
  }

  /** @param {number} limit @param {string} [after] @returns {Promise<{items: Reading[], next: string|null}>} */
  #page(limit, after) {
    return get(this.#path, { query: { limit, after } });
  }

  #show() {
    byId('readings-about', HTMLParagraphElement).textContent = this.#readings.length === 0
      ? 'None yet.'
      : 'Newest first. Readings set aside stay here and do not count.';
    this.#more.hidden = !this.#next;
    this.#list.replaceChildren(...byDay(this.#readings).map((readings, place) => this.#day(readings, place === 0)));
  }

  /** The readings of one day, at least one. @param {Reading[]} readings @param {boolean} isLast */
  #day(readings, isLast) {
    const [first] = readings;
    const key = `${first.measured_on} ${first.day}`;
    const notCounted = this.#checks.filter((check) => check.counts === false && readings.some(({ id }) => id === check.reading)).length;
    const shared = facts(first, this.#units).filter((fact) => readings.every((reading) => facts(reading, this.#units).includes(fact)));
    const allEnded = readings.every(({ ended }) => ended === first.ended);
    if (allEnded) shared.unshift(endedWords(first.ended));
    return el('details', {
      open: this.#open.get(key) ?? isLast,
      ontoggle: (/** @type {Event} */ { target }) => this.#open.set(key, /** @type {HTMLDetailsElement} */ (target).open),
    },
      el('summary', {}, el('h3', {}, dateWords(first.measured_on), first.day !== first.measured_on && ` · ${first.day}`),
        el('span', { class: 'about' }, [gearsOf(readings), notCounted > 0 && `${notCounted} to answer`].filter(Boolean).join('\u00a0· '))),
      shared.length > 0 && el('p', { class: 'about' }, shared.join('\u00a0· ')),
      el('ol', { reversed: true }, ...readings.map((reading) => this.#item(reading, shared))));
  }

  /** @param {Reading} reading @param {string[]} shared  stated above the list */
  #item(reading, shared) {
    const aside = reading.set_aside;
    const own = facts(reading, this.#units).filter((fact) => !shared.includes(fact));
    const problem = el('p', { class: 'fault', role: 'alert', hidden: true });
    const about = `${isolated(reading.gear)}, ${noted(reading.distance_ft, this.#units)}, ${dateWords(reading.measured_on)}`;
    const button = (/** @type {string} */ text, /** @type {() => void} */ onclick) =>
      el('button', { type: 'button', 'aria-label': `${text}: ${about}`, onclick }, text);
    const whose = this.#whose(reading);
    const check = this.#checks.find((one) => one.reading === reading.id && one.counts === false);
    const buttons = whose.setAside ? [] : aside
      ? [button('Bring back', () => this.#patch(reading.id, { set_aside: null }, problem))]
      : [...(check ? this.answers(check, problem)
        : [button('Set aside', () => this.#setAside(reading.id, about, problem))]),
        reading.confirmed_at && !reading.from_owner &&
          button('Leave it to the checks', () => this.#patch(reading.id, { confirmed: false }, problem)),
        !reading.from_owner && button('Correct', () => this.#callbacks.correct(reading))];
    return el('li', { id: `reading-${reading.id}`, tabindex: '-1', class: aside ? 'aside' : check ? 'hollow' : '' },
      el('div', {},
        el('p', { class: 'what' }, el('strong', {}, reading.gear), ' ', this.#distance(reading, shared)),
        own.length > 0 && el('p', { class: 'about' }, own.join('\u00a0· ')),
        reading.note && el('p', { class: 'about' }, `“${reading.note}”`),
        whose.words && el('p', { class: 'about' }, whose.words),
        check && el('p', { class: 'why' }, 'Does not count: ', check.detail),
        reading.confirmed_at && !aside && el('p', { class: 'about' }, 'Confirmed: it counts whatever the checks say.'),
        aside && el('p', { class: 'why' }, `Set aside${whose.setAside ? ' by its owner' : ''}: ${sentence(aside.reason)}`)),
      el('div', { class: 'actions', 'data-needs': 'operator' }, ...buttons), problem);
  }

  /** Of a sled of another crew: whether this crew noted the reading, and whether its owner set it aside. @param {Reading} reading */
  #whose(reading) {
    return {
      words: this.#isGuest && !reading.from_owner ? 'Our own: its owner’s chart does not use it.' : '',
      setAside: isAsideByOwner(reading),
    };
  }

  /** @param {Reading} reading @param {string[]} shared */
  #distance(reading, shared) {
    const give = reading.plus_minus_ft === undefined ? '' : ` ± ${noted(reading.plus_minus_ft, this.#units)}`;
    const end = reading.end_ft === undefined ? '' : ` with the box at ${noted(reading.end_ft, this.#units)}`;
    const start = startWords(reading.start_ft, this.#units);
    const ended = shared.includes(endedWords(reading.ended)) ? '' : `, ${endedWords(reading.ended)}`;
    return `${noted(reading.distance_ft, this.#units)}${give} from ${start}${ended}${end}`;
  }

  /** @param {string} id @param {string} about @param {HTMLElement} problem */
  async #setAside(id, about, problem) {
    const reason = await askText({
      title: 'Set this reading aside', label: 'Why?', confirm: 'Set aside',
      explain: `${sentence(about)} It stays in the list and no longer counts.`,
    });
    if (reason !== null) await this.#patch(id, { set_aside: { reason } }, problem);
  }

  /** @param {string} id @param {Parameters<typeof patchReading>[1]} change @param {HTMLElement} problem */
  async #patch(id, change, problem) {
    await this.#after(problem, async () => {
      await patchReading(id, change);
      return id;
    });
  }

  /** Does something, loads everything again and goes to the reading. @param {HTMLElement} problem @param {() => Promise<string>} work */
  async #after(problem, work) {
    /** @type {NodeListOf<HTMLButtonElement>} */
    const buttons = document.querySelectorAll('#checks .actions button, #readings-list .actions button');
    buttons.forEach((button) => { button.disabled = true; }); // a second tap would do it twice
    await attempt(problem, async () => {
      const id = await work();
      await this.#callbacks.changed();
      this.#reveal(id);
    });
    buttons.forEach((button) => { button.disabled = false; });
  }
}

/** Groups consecutive readings of the same day. @param {Reading[]} readings */
function byDay(readings) {
  /** @type {Reading[][]} */
  const days = [];
  for (const reading of readings) {
    const last = days.at(-1);
    if (last?.[0].day === reading.day && last[0].measured_on === reading.measured_on) last.push(reading);
    else days.push([reading]);
  }
  return days;
}

/** "5 readings of A, B" or "1 reading of C". @param {Reading[]} readings */
function gearsOf(readings) {
  const gears = [...new Set(readings.map(({ gear }) => gear))].reverse();
  return `${counted(readings.length, 'reading')} of ${gears.join(', ')}`;
}

/** The other fields of a reading, in words. @param {Reading} reading @param {Units} units */
function facts(reading, units) {
  return FIELDS.map((field) => fieldWords(field, reading[/** @type {keyof Reading} */ (field.name)], units)).filter(Boolean);
}
