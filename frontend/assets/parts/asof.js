// @ts-check
// The chart as it was at the end of an earlier day, beside today's.

import { address, get } from '../lib/api.js';
import { dateWords } from '../lib/dates.js';
import { byId, control, el, row, table } from '../lib/dom.js';
import { onSubmit, submitting, throwFaults } from '../lib/forms.js';
import { picture } from '../lib/picture.js';
import { isolated } from '../lib/text.js';
import { plusMinus, withPlusMinus } from '../lib/units.js';
import { basisWords, startWords } from '../model/words.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Chart, TopOut } from '../model/types.js' */
/** @import { PartsSled } from './types.js' */

export class AsOf {
  #path;
  #units;
  #form = byId('as-of-form', HTMLFormElement);
  #place = byId('as-of-result', HTMLDivElement);
  /** @type {{day: string, then: Chart, now: Chart}|undefined} */
  #shown;
  /** @type {PartsSled|undefined} */
  #sled;

  /** @param {string} path @param {Units} units */
  constructor(path, units) {
    this.#path = path;
    this.#units = units;
    onSubmit(this.#form, () => this.#load());
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    this.#show();
  }

  /** The sled was loaded again. Updates the shown chart. @param {PartsSled} sled */
  async renew(sled) {
    this.#sled = sled;
    if (this.#shown) await submitting(this.#form, () => this.#load());
  }

  /** @param {string} day */
  async ask(day) {
    control(this.#form, 'as_of').value = day;
    await submitting(this.#form, () => this.#load());
    byId('as-of', HTMLElement).scrollIntoView();
  }

  async #load() {
    const day = control(this.#form, 'as_of').value;
    throwFaults(day ? [] : [{ at: 'as_of', detail: 'Pick a day.' }]);
    const then = /** @type {Chart} */ (await get(`${this.#path}/chart`, { query: { as_of: day } }));
    const starts = [...new Set(then.gears.flatMap(({ top_outs: topOuts }) => topOuts.map((at) => String(at.start_ft))))];
    const now = /** @type {Chart} */ (await get(`${this.#path}/chart`, { query: { start_ft: starts } }));
    this.#shown = { day, then, now };
    const here = new URL(location.href);
    here.searchParams.set('as_of', day);
    history.replaceState(null, '', address(here.pathname, Object.fromEntries(here.searchParams)) + '#as-of');
    this.#show();
  }

  #show() {
    if (!this.#shown || !this.#sled) return;
    const { day, then, now } = this.#shown;
    const rows = then.gears.flatMap(({ label, top_outs: topOuts }) => {
      const known = topOuts.filter(({ top_out_ft: feet }) => feet !== null);
      const today = now.gears.find((gear) => gear.label === label)?.top_outs ?? [];
      const todayAt = (/** @type {number} */ feet) => today.find(({ start_ft: start }) => start === feet);
      return known.map((at, place) => row(label, [
        startWords(at.start_ft, this.#units), ...this.#cells(at), ...this.#cells(todayAt(at.start_ft)),
      ], { class: place === 0 ? 'first' : '' }));
    });
    this.#place.replaceChildren(...(rows.length === 0
      ? [el('p', {}, `Nothing was known of ${isolated(this.#sled.name)} at the end of ${dateWords(day)}.`)]
      : [
        el('p', {}, `From readings and parts up to the end of ${dateWords(day)}, and the ± as it is known today.`),
        picture(`${this.#path}/chart.svg`, { units: this.#units, as_of: day },
          `The chart of ${isolated(this.#sled.name)} at the end of ${dateWords(day)}. The table has the same numbers.`, then),
        table(`The chart of ${isolated(this.#sled.name)} at the end of ${dateWords(day)}, beside today’s`,
          ['Gear', 'Start', `On ${dateWords(day)}`, 'Known then from', 'Today', 'Known today from'], rows),
      ]));
  }

  /** @param {TopOut|undefined} at */
  #cells(at) {
    if (!at || at.top_out_ft === null) return ['not known', ''];
    return [withPlusMinus(at.top_out_ft, plusMinus(at.low_ft ?? 0, at.high_ft ?? 0), this.#units), basisWords(at.basis, at.stated_by)];
  }
}
