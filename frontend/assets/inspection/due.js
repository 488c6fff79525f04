// @ts-check
// What is due, what is not well, and what was looked at. A tap signs a line: it is sent, or waits on this device and is sent once.
// No line becomes well by itself, and none moves under a thumb: what was signed stays where it is until the page is left.

import { withKey } from '../account/key.js';
import { address, messageOf, request } from '../lib/api.js';
import { dateWords, isToday, today } from '../lib/dates.js';
import { askText } from '../lib/dialogs.js';
import { byId, el, putParts, putText } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { forShowWords, foundWords, oftenWords, signedWords } from '../model/inspection.js';
import { discard, onSent, send, waiting } from '../offline/queue.js';

/** @import { Due, DueItem, Inspection } from '../model/inspection.js' */

/** As the API takes it. @typedef {{item: string, well: boolean, note?: string, done?: string}} Found */
/** What waits on this device, with its id in the queue. @typedef {Inspection & {queued: string}} Queued */

// A tap on a line within this time after its buttons changed is a double tap, and is ignored. Our own choice.
const DOUBLE_TAP_MS = 700;
const WAITS = 'kept on this device until it is sent';

export class DueView {
  #options;
  /** @type {Due|undefined} */
  #due;
  /** What waits, in order. @type {Queued[]} */
  #queued = [];
  #shows = byId('show', HTMLSelectElement);
  /** Lines that were signed since the page was opened. @type {Set<string>} */
  #staying = new Set();
  /** What was taken back, by its id in the queue: it may have been on its way already. @type {Set<string>} */
  #takenBack = new Set();
  /** The line that was changed last, and when: Infinity until it is. */
  #touched = { item: '', at: -Infinity };

  /** @param {{signer: () => string, changed: () => Promise<void>, chosen: (show: string) => void}} options */
  constructor(options) {
    this.#options = options;
    this.#shows.addEventListener('change', () => options.chosen(this.#shows.value));
    onSent(({ id, answer }) => {
      if (this.#takenBack.delete(id) && answer) remove(answer.items[0].id).then(options.changed, showFailure);
    });
  }

  /** @param {Due} due */
  async show(due) {
    if (this.#due?.sled !== due.sled || this.#due.show?.id !== due.show?.id) this.#staying.clear();
    this.#due = due;
    const own = inspectionsOf(due);
    this.#queued = (await waiting()).filter(({ path, status }) => path === own && status === 'waiting').flatMap(({ id, body, queuedAt }) =>
      body.items.map((/** @type {Found} */ found) => ({
        ...found, id: '', queued: id, on: body.on, show: body.show, by: body.by ?? '', signed_by: '',
        what: due.items.find((item) => item.id === found.item)?.what ?? '', created_at: new Date(queuedAt).toISOString(),
      })));
    this.#render();
  }

  /** Where the show is. */
  get #today() {
    return today(this.#due?.show?.zone);
  }

  #render() {
    const due = /** @type {Due} */ (this.#due);
    const shows = due.show && !due.shows.some(({ id }) => id === due.show?.id) ? [due.show, ...due.shows] : due.shows;
    this.#shows.replaceChildren(...shows.map((one) =>
      el('option', { value: one.id, selected: one.id === due.show?.id }, `${isolated(one.name)}, ${dateWords(one.date)}`)));
    if (!due.show) this.#shows.replaceChildren(el('option', { value: '' }, `${dateWords(due.on)}, no show is booked`));
    const items = due.items.map((item) => this.#withQueued(item));
    const open = items.flatMap((item) => item.not_well.map((found) => ({ item, found })));
    byId('open', HTMLElement).hidden = open.length === 0;
    byId('open-list', HTMLUListElement).replaceChildren(...open.map(({ item, found }) => this.#openLine(item, found)));
    const toLook = items.filter((item) => item.due || this.#staying.has(item.id));
    byId('due-list', HTMLUListElement).replaceChildren(...toLook.map((item) => this.#line(item)));
    byId('due-heading', HTMLHeadingElement).textContent = `Due ${forShowWords(due.show)}`.trim();
    putText('due-none', items.length === 0 ? 'Nothing is on this sled’s list yet.'
      : items.some((item) => item.due) ? '' : 'Nothing is due any more. That says what was looked at, not that the sled may pull.');
    const rest = items.filter((item) => !toLook.includes(item));
    byId('signed', HTMLElement).hidden = rest.length === 0;
    byId('signed-list', HTMLUListElement).replaceChildren(...rest.map((item) => this.#line(item)));
  }

  /** An item with what waits on this device, worked out as the API does. @param {DueItem} item @returns {DueItem} */
  #withQueued(item) {
    const now = { ...item, due: item.due || (item.due_on !== null && item.due_on <= this.#today), not_well: [...item.not_well] };
    for (const found of this.#queued.filter((one) => one.item === item.id)) {
      now.last = found;
      if (item.every_days || !this.#due?.show || found.show === this.#due.show.id) now.due = false;
      if (found.done) now.not_well = [];
      else if (!found.well) now.not_well.push(found);
    }
    return now;
  }

  /** @param {DueItem} item */
  #line(item) {
    const about = [oftenWords(item), item.calibration && 'the numbers hold only while it is as it was'].filter(Boolean).join(' · ');
    const { last } = item;
    const isFresh = !item.due && last?.well && !last.done && isToday(new Date(last.created_at));
    return el('li', { 'data-item': item.id, 'data-due': item.due, tabindex: '-1' },
      el('div', { class: 'words' }, el('p', { class: 'what' }, item.what), el('p', { class: 'about' }, about),
        last && el('p', { class: 'about' }, `${foundWords(last)}. `, 'queued' in last ? `${last.by} · ${WAITS}` : signedWords(last))),
      el('div', { class: 'does' },
        item.due && this.#button('Looked at, well', item, () => this.#sign(item, { well: true }), 'primary'),
        isFresh && this.#button('Take back', item, () => this.#takeBack(item)),
        this.#button('Not well', item, () => this.#notWell(item))));
  }

  /** @param {DueItem} item @param {Inspection} found */
  #openLine(item, found) {
    return el('li', { class: 'bad' },
      el('div', { class: 'words' }, el('p', { class: 'what' }, found.what || item.what), el('p', {}, found.note ?? ''),
        el('p', { class: 'about' }, 'queued' in found ? `${found.by} · ${WAITS}` : signedWords(found))),
      el('div', { class: 'does' }, this.#button('What was done', item, () => this.#done(item))));
  }

  /** @param {DueItem} item */
  #isDoubleTap({ id }) {
    return this.#touched.item === id && performance.now() - this.#touched.at < DOUBLE_TAP_MS;
  }

  /** @param {string} text @param {DueItem} item @param {() => Promise<void>} work @param {string} [style] */
  #button(text, item, work, style = '') {
    const button = el('button', { type: 'button', class: style, 'aria-label': `${text}: ${item.what}`, onclick: async () => {
      if (button.disabled || this.#isDoubleTap(item)) return;
      button.disabled = true;
      try {
        await work();
      } catch (error) {
        showFailure(error);
      }
      button.disabled = false;
    } }, text);
    return button;
  }

  /** @param {DueItem} item */
  async #notWell(item) {
    const note = await askText({ title: item.what, explain: 'It stays at the top of the sled and of its cab sheet until somebody writes ' +
      'what was done.', label: 'What is not well', confirm: 'Not well' });
    if (note) await this.#sign(item, { well: false, note });
  }

  /** @param {DueItem} item */
  async #done(item) {
    const notes = item.not_well.map(({ note }) => note).join('; ');
    const done = await askText({ title: item.what, explain: `Not well: ${notes}. What you write is for all of that.`,
      label: 'What was done', confirm: 'Write it down' });
    if (!done) return;
    await this.#sign(item, { well: true, done });
    if (!item.calibration) return;
    const query = { sled: this.#due?.sled, made_on: this.#today, what: `${item.what}: ${done}` };
    putParts('part-changed', 'Was a part replaced, a chain or other tires? The numbers hold only while the sled is as it was measured. ',
      el('a', { href: `${address('/parts', query)}#changes` }, 'Note a change of parts'), ' (with a manager’s key).');
  }

  /** @param {DueItem} item @param {Omit<Found, 'item'>} found */
  async #sign(item, found) {
    const due = /** @type {Due} */ (this.#due);
    const words = found.done ? `done: ${found.done}` : found.well ? 'looked at, well' : `not well: ${found.note}`;
    const label = `${isolated(due.sled_name)}, ${isolated(item.what)}: ${words}`;
    const body = { on: this.#today, by: this.#options.signer() || undefined, show: due.show?.id, items: [{ item: item.id, ...found }] };
    this.#staying.add(item.id);
    await this.#change(item, async () => {
      const outcome = await send({ path: inspectionsOf(due), body, label });
      if (outcome.status !== 'refused') byId('status', HTMLParagraphElement).textContent = `${label}.`;
    });
  }

  /**
   * Does something to a line. The button that was tapped is then gone, and the line gets the focus.
   * @param {DueItem} item
   * @param {() => Promise<void>} work
   */
  async #change({ id }, work) {
    this.#touched = { item: id, at: Infinity };
    try {
      await work();
      await this.#options.changed();
    } finally {
      this.#touched = { item: id, at: performance.now() };
    }
    const line = document.querySelector(`[data-item="${CSS.escape(id)}"]`);
    if (line instanceof HTMLElement && !document.activeElement?.closest('main button')) line.focus({ preventScroll: true });
  }

  /** What was signed by mistake. @param {DueItem} item */
  async #takeBack(item) {
    const { last } = item;
    if (!last) return;
    await this.#change(item, async () => {
      if (!('queued' in last)) return remove(last.id);
      const { queued } = /** @type {Queued} */ (last);
      this.#takenBack.add(queued);
      await discard(queued);
    });
  }
}

/** Their path. @param {Due} due */
function inspectionsOf({ sled }) {
  return `/v1/sleds/${encodeURIComponent(sled)}/inspections`;
}

/** @param {string} id  of an inspection */
async function remove(id) {
  await withKey(() => request('DELETE', `/v1/inspections/${encodeURIComponent(id)}`));
}

/** @param {unknown} error */
function showFailure(error) {
  putText('whole-page', messageOf(error));
}
