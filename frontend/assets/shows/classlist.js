// @ts-check
// The list of classes: the setting each is used to, the top-out it means, and changes of the chart since. The rest is folded.

import { withKey } from '../account/key.js';
import { request } from '../lib/api.js';
import { el } from '../lib/dom.js';
import { attempt } from '../lib/forms.js';
import { isolated, nameOf } from '../lib/text.js';
import { about, noted } from '../lib/units.js';
import { blocksWords, hasMoved, homeWords, movedWords, stoodForWords } from '../model/showwords.js';

/** @import { Units } from '../lib/units.js' */
/** @import { ClassForm } from './classform.js' */
/** @import { Home, PullingClass } from '../model/showtypes.js' */
/** @import { Sled } from '../model/types.js' */

/** Asks, with what is needed only then. @param {{title: string, explain: string, confirm: string}} about */
async function askYes(about) {
  return (await import('../lib/dialogs.js')).askYes(about);
}

export class ClassList {
  #place;
  #sleds;
  #units;
  #changed;
  /** @type {PullingClass[]} */
  #classes = [];
  /** The class being edited, and its form, which stays when the list is rendered again. @type {{id: string, form: ClassForm}|undefined} */
  #editing;

  /**
   * @param {HTMLElement} place
   * @param {Sled[]} sleds
   * @param {Units} units
   * @param {() => Promise<void>} changed  loads and shows the classes again
   */
  constructor(place, sleds, units, changed) {
    this.#place = place;
    this.#sleds = sleds;
    this.#units = units;
    this.#changed = changed;
  }

  /** @param {PullingClass[]} classes */
  show(classes) {
    const open = [...this.#place.querySelectorAll('li:has(> details[open])')].map(({ id }) => id);
    this.#classes = classes;
    this.#place.replaceChildren(...classes.map((it) => this.#item(it, open.includes(`class-${it.id}`))));
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    this.#editing?.form.setUnits(units);
    this.show(this.#classes);
  }

  /** @param {PullingClass} it @param {boolean} open */
  #item(it, open) {
    const item = el('li', { id: `class-${it.id}`, tabindex: '-1' });
    if (this.#editing?.id === it.id) {
      item.append(this.#editing.form.element);
      return item;
    }
    const problem = el('p', { class: 'fault', role: 'alert', hidden: true });
    const button = (/** @type {string} */ text, /** @type {string} */ label, /** @type {() => Promise<void>} */ work) =>
      el('button', { type: 'button', 'aria-label': label, onclick: () => attempt(problem, work) }, text);
    const moved = [movedWords(it.setting, this.#units), it.pull_off && movedWords(it.pull_off, this.#units)];
    item.append(el('details', { open },
      el('summary', {}, el('h3', {}, it.name),
        el('span', {}, this.#homeWords(it.setting))),
      ...this.#facts(it).map((text) => el('p', { class: 'about' }, text)),
      el('div', { class: 'actions', 'data-needs': 'promoter' },
        button('Change', `Change ${isolated(it.name)}`, () => this.#edit(it)),
        button('Delete', `Delete ${isolated(it.name)}`, () => this.#remove(it)))),
    ...moved.filter(Boolean).map((text, place) => el('p', { class: 'moved' }, moved[0] && place === 0 ? text : `Pull-off: ${text}`)));
    if (hasMoved(it.setting) || hasMoved(it.pull_off)) {
      item.append(el('div', { class: 'actions', 'data-needs': 'promoter' },
        button('Take today’s figure', `Take today’s figure for ${isolated(it.name)}`, () => this.#renew(it))));
    }
    item.append(problem);
    return item;
  }

  /** @param {Home} home */
  #homeWords(home) {
    return `${homeWords(home, nameOf(home.sled ?? '', this.#sleds), this.#units)}: ${stoodForWords(home, this.#units)}`;
  }

  /** @param {PullingClass} it @returns {string[]} */
  #facts(it) {
    return [
      blocksWords(it.setting, this.#units).join('\u00a0· '),
      it.pull_off && [`Pull-off: ${this.#homeWords(it.pull_off)}`, ...blocksWords(it.pull_off, this.#units)].join('\u00a0· '),
      it.ends_ft !== undefined && `Usually ends at ${noted(it.ends_ft, this.#units)}`,
      it.weights && `Weights${it.setting.sled ? ` on ${nameOf(it.setting.sled, this.#sleds)}` : ''}: ${it.weights}`,
      it.used_by && `Used by ${it.used_by}`,
      it.notes && `“${it.notes}”`,
    ].filter((text) => typeof text === 'string' && text !== '').map(String);
  }

  /** A class as it is now, and its address. @param {string} id @returns {Promise<{data: PullingClass, etag: string, path: string}>} */
  async #now(id) {
    const { classPath } = await import('./classform.js');
    const path = classPath(id);
    return { path, .../** @type {{data: PullingClass, etag: string}} */ (await request('GET', path)) };
  }

  /** @param {PullingClass} it */
  async #edit(it) {
    const [{ data, etag }, { ClassForm }] = await Promise.all([this.#now(it.id), import('./classform.js')]);
    if (this.#editing && !await askYes({
      title: 'Leave the other class?', confirm: 'Leave it',
      explain: 'Another class is open to be changed. What was typed there is given up.',
    })) return;
    const close = () => {
      this.#editing = undefined;
      this.show(this.#classes);
      this.#goTo(it.id);
    };
    const form = new ClassForm(this.#sleds, this.#units, {
      stored: async () => {
        this.#editing = undefined;
        await this.#changed();
        this.#goTo(it.id);
      },
      closed: close,
    }, { it: data, etag });
    this.#editing = { id: it.id, form };
    this.show(this.#classes);
    form.element.querySelector('input')?.focus();
  }

  /** @param {string} id */
  #goTo(id) {
    const item = document.getElementById(`class-${id}`);
    const fold = item?.querySelector('details');
    if (fold) fold.open = true;
    item?.focus();
  }

  /** Sets what the class stands for to today's chart. @param {PullingClass} it */
  async #renew(it) {
    const { data, etag, path } = await this.#now(it.id);
    const means = (/** @type {Home} */ home) => (home.today_ft === null ? 'nothing' : about(home.today_ft, this.#units));
    const pullOff = data.pull_off ? `, and its pull-off ${means(data.pull_off)}` : '';
    const sure = await askYes({
      title: `Take today’s figure for ${isolated(data.name)}?`,
      explain: `From now on it means ${means(data.setting)}${pullOff}. Sheets of shows that are over stay as they were.`,
      confirm: 'Take it',
    });
    if (!sure) return;
    const { id, revision, created_at: made, updated_at: changed, ...input } = data;
    const body = { ...input, setting: plain(data.setting), pull_off: data.pull_off ? plain(data.pull_off) : undefined, renew: true };
    await withKey(() => request('PUT', path, { body, ifMatch: etag }));
    await this.#changed();
    this.#goTo(it.id);
  }

  /** @param {PullingClass} it */
  async #remove(it) {
    const { etag, path } = await this.#now(it.id);
    const title = `Delete ${isolated(it.name)}?`;
    if (!await askYes({ title, explain: 'Only a class that no show lists can be deleted.', confirm: 'Delete it' })) return;
    await withKey(() => request('DELETE', path, { ifMatch: etag }));
    await this.#changed();
  }
}

/** A setting as the API accepts it. @param {Home} home */
function plain({ sled, gear, top_out_ft, start_ft, in_box_lb, on_pan_lb }) {
  return { sled, gear, top_out_ft, start_ft, in_box_lb, on_pan_lb };
}
