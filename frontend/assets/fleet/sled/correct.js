// @ts-check
// The form that corrects a sled, and the button that removes or retires it.

import { withKey } from '../../account/key.js';
import { request } from '../../lib/api.js';
import { saveOrReload } from '../../lib/conflict.js';
import { askYes } from '../../lib/dialogs.js';
import { byId, control, el } from '../../lib/dom.js';
import { attempt, onSubmit, throwFaults } from '../../lib/forms.js';
import { fillQuantity, quantityIn, readQuantity, switchFields } from '../../lib/quantities.js';
import { isolated } from '../../lib/text.js';
import { sledInput } from '../../model/sleds.js';
import { askLabels, UNCLEAR_LABELS } from '../gearlabels.js';

/** @import { Fault } from '../../lib/api.js' */
/** @import { Units } from '../../lib/units.js' */
/** @import { Sled } from '../../model/types.js' */

const TEXTS = /** @type {const} */ (['name', 'owner', 'notes']);
const LENGTHS = /** @type {const} */ (['travel_ft', 'take_up_ft', 'rail_mark_ft']);

export class CorrectForm {
  #path;
  #units;
  #corrected;
  #form = byId('correct-form', HTMLFormElement);
  #rows = byId('correct-gears', HTMLOListElement);
  #note = byId('correct-changed', HTMLDivElement);
  /** The sled as it was when the form was filled. @type {Sled|undefined} */
  #base;
  #etag = '';

  /** @param {string} sledPath @param {Units} units @param {(sled: Sled, etag: string) => Promise<void>} corrected */
  constructor(sledPath, units, corrected) {
    this.#path = sledPath;
    this.#units = units;
    this.#corrected = corrected;
    switchFields(this.#form, units, units);
    onSubmit(this.#form, () => this.#save());
    byId('correct-add-gear', HTMLButtonElement).addEventListener('click', () => {
      this.#rows.append(this.#gearRow('', ''));
      /** @type {HTMLInputElement|null} */ (this.#rows.querySelector('li:last-child input'))?.focus();
    });
    byId('remove', HTMLButtonElement).addEventListener('click',
      () => attempt(byId('remove-problem', HTMLParagraphElement), () => this.#removeOrBringBack()));
  }

  /** @param {Units} units */
  setUnits(units) {
    switchFields(this.#form, this.#units, units);
    this.#units = units;
  }

  /** Fills the form. @param {Sled} sled @param {string} etag */
  show(sled, etag) {
    this.#base = sled;
    this.#etag = etag;
    this.#note.replaceChildren();
    for (const name of TEXTS) control(this.#form, name).value = sled[name] ?? '';
    for (const name of LENGTHS) fillQuantity(control(this.#form, name), sled[name], this.#units);
    this.#rows.replaceChildren(...sled.gears.map(({ label }) => this.#gearRow(label, label)));
    this.#showRemove();
  }

  /**
   * Readings were added or set aside. If the sled has not changed otherwise, the form takes the new ETag.
   * @param {Sled} sled
   * @param {string} etag
   */
  readingsChanged(sled, etag) {
    if (!this.#base || sled.revision !== this.#base.revision) return;
    this.#base = sled;
    this.#etag = etag;
    this.#showRemove();
  }

  #showRemove() {
    const sled = /** @type {Sled} */ (this.#base);
    byId('remove', HTMLButtonElement).textContent = sled.retired
      ? 'Bring this sled back into use'
      : sled.readings > 0 ? 'Retire this sled' : 'Remove this sled';
  }

  /** @param {string} label @param {string} was  empty for a new gear */
  #gearRow(label, was) {
    const named = was ? `gear ${was}` : 'the new gear';
    const item = el('li', {},
      el('input', { value: label, autocomplete: 'off', 'aria-label': `Label of ${named}`, 'data-was': was }),
      el('button', { type: 'button', 'aria-label': `Take out ${named}`, onclick: () => item.remove() }, 'Take out'));
    return item;
  }

  /** The gear rows as typed. @returns {{label: string, was: string}[]} */
  #gearsTyped() {
    return [...this.#rows.querySelectorAll('input')].map((input) => ({ label: input.value.trim(), was: input.dataset.was ?? '' }));
  }

  /** Several new gears typed into one row get a row each. False where it is left open whether they are several. */
  async #oneRowEach() {
    for (const item of this.#rows.querySelectorAll('li:has(input[data-was=""])')) {
      const labels = await askLabels(item.querySelector('input')?.value ?? '');
      if (labels === null) return false;
      if (labels.length > 1) item.replaceWith(...labels.map((label) => this.#gearRow(label, '')));
    }
    return true;
  }

  async #save() {
    const base = /** @type {Sled} */ (this.#base);
    /** @type {Fault[]} */
    const faults = [];
    const clear = await this.#oneRowEach();
    this.#rows.querySelectorAll('input').forEach((input, place) => input.setAttribute('data-at', `gears[${place}].label`));
    if (!clear) faults.push({ at: 'gears', detail: UNCLEAR_LABELS });
    const correction = this.#correction(base, faults);
    throwFaults(faults);
    await saveOrReload(this.#form, this.#note, async () => {
      const { data, etag } = await this.#put(correction);
      await this.#corrected(data, etag);
      this.#note.replaceChildren(el('p', { class: 'notice' }, 'Saved.'));
    }, () => this.#rebase());
  }

  /** The whole sled as in the form. Fields that the form lacks stay as they were. @param {Sled} base @param {Fault[]} faults */
  #correction(base, faults) {
    /** @type {Record<string, unknown>} */
    const body = sledInput(base);
    for (const name of TEXTS) body[name] = control(this.#form, name).value.trim() || undefined;
    for (const name of LENGTHS) body[name] = readQuantity(control(this.#form, name), this.#units, faults);
    if (!body.name) faults.push({ at: 'name', detail: 'A sled needs a name.' });
    body.gears = this.#gearsTyped().map(({ label, was }, place) => {
      if (!label) faults.push({ at: `gears[${place}].label`, detail: 'A gear needs a label. To take it out, use its button.' });
      const before = base.gears.find((gear) => gear.label === was);
      return { ...before, label, was: was && was !== label ? was : undefined };
    });
    return body;
  }

  /** @param {Record<string, unknown>} correction @returns {Promise<{data: Sled, etag: string}>} */
  #put(correction) {
    return withKey(() => request('PUT', this.#path, { body: correction, ifMatch: this.#etag }));
  }

  /** Loads the sled as it is now. Typed values stay. The result names them. */
  async #rebase() {
    const before = /** @type {Sled} */ (this.#base);
    const { data, etag } = /** @type {{data: Sled, etag: string}} */ (await request('GET', this.#path));
    const preserved = [];
    for (const name of TEXTS) {
      if (control(this.#form, name).value.trim() === (before[name] ?? '')) control(this.#form, name).value = data[name] ?? '';
      else preserved.push(name);
    }
    for (const name of LENGTHS) {
      const input = control(this.#form, name);
      if (quantityIn(input, this.#units) === before[name]) fillQuantity(input, data[name], this.#units);
      else preserved.push(name.replace(/_ft$/, '').replace('_', '-'));
    }
    const typed = this.#gearsTyped();
    const untouched = JSON.stringify(typed) === JSON.stringify(before.gears.map(({ label }) => ({ label, was: label })));
    if (untouched) this.#rows.replaceChildren(...data.gears.map(({ label }) => this.#gearRow(label, label)));
    else preserved.push('gears');
    this.#base = data;
    this.#etag = etag;
    return preserved;
  }

  async #removeOrBringBack() {
    const sled = /** @type {Sled} */ (this.#base);
    if (sled.retired) await this.#bringBack(sled);
    else await this.#remove(sled);
  }

  /** @param {Sled} sled */
  async #bringBack(sled) {
    const { data, etag } = await this.#put({ ...sledInput(sled), retired: false });
    await this.#corrected(data, etag);
  }

  /** @param {Sled} sled */
  async #remove(sled) {
    const retiring = sled.readings > 0;
    const sure = await askYes(retiring
      ? {
        title: `Retire ${isolated(sled.name)}?`, confirm: 'Retire it',
        explain: 'It keeps its readings and its chart, and no longer stands among the sleds to choose from. It can be brought back.',
      }
      : { title: `Remove ${isolated(sled.name)}?`, explain: 'It has no readings, so it is removed altogether.', confirm: 'Remove it' });
    if (!sure) return;
    const { data, etag } = /** @type {{data: Sled|undefined, etag: string}} */ (
      await withKey(() => request('DELETE', this.#path, { ifMatch: this.#etag })));
    if (data) await this.#corrected(data, etag);
    else location.assign('/fleet');
  }
}
