// @ts-check
// One show. Its page has four parts, each with an address of its own and modules that only it loads.

import { withKey } from '../../account/key.js';
import { setTitle } from '../../frame/frame.js';
import { address, getAll, request } from '../../lib/api.js';
import { byId, putInLink, putText } from '../../lib/dom.js';
import { isolated, nameOf } from '../../lib/text.js';
import { showInput, whenAndWhere } from '../../model/showwords.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Show } from '../../model/showtypes.js' */
/** @import { Sled } from '../../model/types.js' */

/**
 * A part of the page.
 * @typedef {object} Part
 * @property {() => Promise<() => void>} load    reads what the part needs; the result shows it. Typed values stay.
 * @property {() => void} unitsChanged           shows everything in the units of the page
 */

export class ShowPage {
  id;
  path;
  units;
  #name;
  /** @type {Part} */
  #part;
  /** @type {Show} */
  show = /** @type {any} */ (undefined); // until load() is done
  /** @type {Sled[]} */
  sleds = [];
  etag = '';
  /** Whether readings of the date that were not entered from the show join. */
  withDate = new URLSearchParams(location.search).has('with_date');

  /** @param {string} id @param {Units} units @param {string} name of the part @param {new (page: ShowPage) => Part} Part */
  constructor(id, units, name, Part) {
    this.id = id;
    this.path = `/v1/shows/${encodeURIComponent(id)}`;
    this.units = units;
    this.#name = name;
    this.#part = new Part(this);
  }

  /** Loads and shows everything. Typed values stay. @throws {Problem} */
  async load() {
    const [{ data, etag }, sleds, showPart] = await Promise.all([
      /** @type {Promise<{data: Show, etag: string}>} */ (request('GET', this.path)),
      /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds')),
      this.#part.load(),
    ]);
    this.show = data;
    this.etag = etag;
    this.sleds = sleds;
    this.showHead();
    showPart();
  }

  /** @param {Units} units */
  setUnits(units) {
    this.units = units;
    this.#part.unitsChanged();
  }

  /** The query of the show's sheet. */
  get sheetQuery() {
    return { units: this.units, with_date: this.withDate ? 'true' : undefined };
  }

  /** Stores the show with a change and shows everything anew. @param {Partial<Show>} change */
  async put(change) {
    const body = { ...showInput(this.show), ...change };
    await withKey(() => request('PUT', this.path, { body, ifMatch: this.etag }));
    await this.load();
  }

  /** The address of a part. @param {string} name */
  partAddress(name) {
    return address('/shows', { show: this.id, part: name === 'sheet' ? undefined : name, with_date: this.sheetQuery.with_date });
  }

  showHead() {
    const { name, over, sled, notes } = this.show;
    setTitle(name);
    byId('show-name', HTMLHeadingElement).textContent = name;
    byId('show-facts', HTMLParagraphElement).textContent = whenAndWhere(this.show);
    byId('show-sled', HTMLParagraphElement).textContent =
      sled ? `${isolated(nameOf(sled, this.sleds))} is booked.` : 'No sled is booked yet.';
    byId('show-over', HTMLParagraphElement).hidden = !over;
    putText('show-notes', notes ?? '');
    putInLink({ with_date: this.sheetQuery.with_date });
    for (const link of byId('show-parts', HTMLElement).querySelectorAll('a')) {
      const part = link.dataset.part ?? '';
      link.href = this.partAddress(part);
      if (part === this.#name) link.setAttribute('aria-current', 'true');
    }
    for (const link of document.querySelectorAll('a[data-to-part]')) {
      if (link instanceof HTMLAnchorElement) link.href = this.partAddress(link.dataset.toPart ?? '');
    }
    for (const part of document.querySelectorAll('#show-view > [data-part]')) {
      if (part instanceof HTMLElement) part.hidden = part.dataset.part !== this.#name;
    }
  }
}
