// @ts-check
// A sled's weighings, newest first, with buttons to set one aside and bring it back.

import { withKey } from '../account/key.js';
import { request } from '../lib/api.js';
import { cardTable } from '../lib/cardtable.js';
import { dateWords } from '../lib/dates.js';
import { askText } from '../lib/dialogs.js';
import { byId, el } from '../lib/dom.js';
import { attempt } from '../lib/forms.js';
import { sentence } from '../lib/text.js';
import { noted, weightNoted, weightWords } from '../lib/units.js';
import { isAsideByOwner } from '../model/guest.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Weighing } from './types.js' */

export class WeighingList {
  #units;
  #changed;
  /** @type {Weighing[]} */
  #weighings = [];
  /** @type {string|undefined} */
  #from;

  /** @param {Units} units @param {() => Promise<void>} changed  loads everything again */
  constructor(units, changed) {
    this.#units = units;
    this.#changed = changed;
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    this.show(this.#weighings, this.#from);
  }

  /** @param {Weighing[]} weighings @param {string} [from]  those before it were ended by a change of parts */
  show(weighings, from) {
    this.#weighings = weighings;
    this.#from = from;
    const none = weighings.length === 0;
    byId('weighings-about', HTMLParagraphElement).textContent = none
      ? 'None yet.' : 'Newest first. A weighing is never deleted: set aside, it stays here and does not count.';
    byId('weighings-csv', HTMLButtonElement).hidden = none;
    byId('weighings-list', HTMLDivElement).replaceChildren(...(none ? [] : [cardTable('Weighings, newest first',
      ['Weighed on', 'Box at', 'In the box', 'On the pan', 'Read: pan', 'Tandem', 'Total', 'Scale', ''],
      weighings.map((one) => this.#row(one)))]));
  }

  /** @param {Weighing} one */
  #row(one) {
    const weight = (/** @type {number|undefined} */ lb) => (lb === undefined ? '' : weightWords(lb, this.#units));
    const about = [one.place, one.by && `by ${one.by}`, one.note && `“${one.note}”`].filter(Boolean).join('\u00a0· ');
    const step = one.scale_step_lb === undefined ? '' : `steps of ${weightNoted(one.scale_step_lb, this.#units)}`;
    const ended = this.#from !== undefined && one.weighed_on < this.#from;
    const theirs = isAsideByOwner(one);
    return el('tr', { id: `weighing-${one.id}`, tabindex: '-1', class: one.set_aside || ended ? 'aside' : '' },
      el('th', { scope: 'row' }, dateWords(one.weighed_on), about && el('small', {}, about),
        one.set_aside && el('small', {}, `Set aside${theirs ? ' by its owner' : ''}: ${sentence(one.set_aside.reason)}`),
        ended && el('small', {}, `No longer counts: a change of parts on ${dateWords(this.#from ?? '')} ended it.`)),
      el('td', {}, one.box_at_ft === 0 ? 'full back' : noted(one.box_at_ft, this.#units)),
      el('td', {}, one.in_box_lb === 0 ? 'empty' : weight(one.in_box_lb)),
      el('td', {}, one.on_pan_lb === 0 ? '' : weight(one.on_pan_lb)),
      el('td', { class: 'read' }, weight(one.pan_lb)), el('td', {}, weight(one.tandem_lb)), el('td', {}, weight(one.total_lb)),
      el('td', {}, one.scale ?? '', step && el('small', {}, step)),
      el('td', {}, el('div', { class: 'actions', 'data-needs': 'operator' }, theirs ? '' : one.set_aside
        ? el('button', { type: 'button', 'aria-label': `Bring back: ${this.#about(one)}`, onclick: () => this.#patch(one.id, null) },
          'Bring back')
        : this.asideButton(one.id, this.#about(one)))));
  }

  /** @param {Weighing} one */
  #about(one) {
    return `${weightWords(one.pan_lb, this.#units)} with the box at ${noted(one.box_at_ft, this.#units)}, ${dateWords(one.weighed_on)}`;
  }

  /** @param {string} id @param {string} about */
  asideButton(id, about) {
    const attributes = { type: 'button', 'data-needs': 'operator', 'aria-label': `Set aside: ${about}` };
    return el('button', { ...attributes, onclick: async () => {
      const reason = await askText({
        title: 'Set this weighing aside', label: 'Why?', confirm: 'Set aside',
        explain: `${sentence(about)} It stays in the list and no longer counts.`,
      });
      if (reason !== null) await this.#patch(id, { reason });
    } }, 'Set aside');
  }

  /** @param {string} id @param {{reason: string}|null} aside */
  async #patch(id, aside) {
    await attempt(byId('weighings-problem', HTMLParagraphElement), async () => {
      await withKey(() => request('PATCH', `/v1/weighings/${encodeURIComponent(id)}`, { body: { set_aside: aside } }));
      await this.#changed();
      document.getElementById(`weighing-${id}`)?.focus();
    });
  }
}
