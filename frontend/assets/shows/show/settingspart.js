// @ts-check
// The settings of a show: the form that changes it, the code for pullers, and the buttons that close, reopen or delete it.

import { withKey } from '../../account/key.js';
import { getAll, messageOf, Problem, request } from '../../lib/api.js';
import { saveOrReload } from '../../lib/conflict.js';
import { askYes } from '../../lib/dialogs.js';
import { byId, el } from '../../lib/dom.js';
import { onSubmit, throwFaults } from '../../lib/forms.js';
import { isolated } from '../../lib/text.js';
import { showCode } from '../../model/qr.js';
import { anyWeighed } from '../../model/sleds.js';
import { ShowFields, TEXTS } from '../form.js';

/** @import { Fault } from '../../lib/api.js' */
/** @import { PullingClass, Show } from '../../model/showtypes.js' */
/** @import { Part, ShowPage } from './page.js' */

/** @implements {Part} */
export class SettingsPart {
  #page;
  #form = byId('edit-form', HTMLFormElement);
  #note = byId('edit-note', HTMLDivElement);
  #problem = byId('over-problem', HTMLDivElement);
  /** @type {ShowFields|undefined} */
  #fields;
  /** The show when the form was filled. @type {Show|undefined} */
  #base;
  /** Names of the typed values that the last load() left. @type {string[]} */
  #preserved = [];

  /** @param {ShowPage} page */
  constructor(page) {
    this.#page = page;
    onSubmit(this.#form, () => this.#save());
    byId('over', HTMLButtonElement).addEventListener('click', () => this.#closeOrOpen());
    byId('delete', HTMLButtonElement).addEventListener('click', () => this.#delete());
  }

  async load() {
    const classes = /** @type {PullingClass[]} */ (await getAll('/v1/classes'));
    return () => {
      const { show, sleds } = this.#page;
      showCode(show, 'On the fence sheet, too. It leads to ');
      this.#preserved = this.#show(show, classes, anyWeighed(sleds));
    };
  }

  unitsChanged() {
    this.#fields?.track.setUnits(this.#page.units);
  }

  /**
   * Shows the show. Typed values stay; other fields are filled again.
   * @param {Show} show
   * @param {PullingClass[]} classes
   * @param {boolean} weighed  whether a sled was
   * @returns {string[]} names of the typed values that stay
   */
  #show(show, classes, weighed) {
    const before = this.#base;
    if (!this.#fields || !before) {
      this.#fields = new ShowFields(this.#form, 'edit', classes, this.#page.units, weighed);
      this.#fields.show(show);
    }
    const fields = this.#fields;
    fields.classes = classes;
    const preserved = [];
    if (before) {
      for (const name of TEXTS) {
        if (fields.text(name) === (before[name] ?? '')) fields.setText(name, show[name] ?? '');
        else preserved.push(name);
      }
      if (fields.track.differ(before)) preserved.push('full pull');
      else fields.track.show(show);
      if (sameOrder(fields.order, before.classes)) fields.order = show.classes;
      else preserved.push('running order');
    }
    fields.fixed = show.over;
    this.#base = show;
    byId('edit-over', HTMLParagraphElement).hidden = !show.over;
    byId('over', HTMLButtonElement).textContent = show.over ? 'Open the show again' : 'The show is over';
    byId('over-about', HTMLParagraphElement).textContent = show.over
      ? 'It keeps the sheet it was run with, whatever happens to the charts. Opened again, it lets go of that sheet and follows the charts.'
      : 'A show that is over keeps the sheet it was run with. It is over by itself from noon of the day after its ' +
        'date, by the clock of its place.';
    return preserved;
  }

  async #save() {
    /** @type {Fault[]} */
    const faults = [];
    const typed = /** @type {ShowFields} */ (this.#fields).read(faults);
    throwFaults(faults);
    this.#note.replaceChildren();
    await saveOrReload(this.#form, this.#note, async () => {
      await this.#page.put(typed);
      this.#note.replaceChildren(el('p', { class: 'notice' }, 'Saved.'));
    }, async () => {
      await this.#page.load();
      return this.#preserved;
    });
  }

  async #closeOrOpen() {
    const base = /** @type {Show} */ (this.#base);
    const question = base.over
      ? {
        title: `Open ${isolated(base.name)} again?`, confirm: 'Open it again',
        explain: 'It lets go of the sheet it was run with and follows today’s charts. What was noted as run stays.',
      }
      : {
        title: `Is ${isolated(base.name)} over?`, confirm: 'It is over',
        explain: 'It keeps the sheet as it stands now. What was run can still be noted.',
      };
    if (await askYes(question)) await this.#attempt(() => this.#page.put({ over: !base.over }));
  }

  async #delete() {
    const base = /** @type {Show} */ (this.#base);
    const explain = 'Only a show with nothing noted as run can be deleted.';
    if (!await askYes({ title: `Delete ${isolated(base.name)}?`, explain, confirm: 'Delete it' })) return;
    await this.#attempt(async () => {
      await withKey(() => request('DELETE', this.#page.path, { ifMatch: this.#page.etag }));
      location.assign('/shows');
    });
  }

  /** @param {() => Promise<void>} work */
  async #attempt(work) {
    this.#problem.replaceChildren();
    try {
      await work();
    } catch (error) {
      this.#problem.replaceChildren(el('p', { class: 'fault' }, messageOf(error)));
      if (error instanceof Problem && error.status === 412) {
        const button = el('button', { type: 'button' }, 'Load what is there now');
        button.addEventListener('click', () => this.#attempt(() => this.#page.load()));
        this.#problem.append(button);
      }
    }
  }
}

/** @param {string[]} one @param {string[]} other */
function sameOrder(one, other) {
  return one.length === other.length && one.every((id, place) => id === other[place]);
}
