// @ts-check
// Takes in a sled of another crew from a file: first what it would change, then the same again in earnest.

import { withKey } from '../account/key.js';
import { address, Problem } from '../lib/api.js';
import { byId, control, el } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { isolated } from '../lib/text.js';
import { upload } from '../lib/upload.js';

/** @import { Sled } from '../model/types.js' */

/** @typedef {{sled: Sled, new: boolean, detail: string}} TakenIn */

class TakeInForm {
  #form = byId('take-in-form', HTMLFormElement);
  #file = byId('take-in-file', HTMLInputElement);
  #name = byId('take-in-name', HTMLInputElement);
  #status = byId('take-in-status', HTMLDivElement);
  #taken;
  /** Whether what is in the form was checked. */
  #checked = false;

  /** @param {() => Promise<void>} taken */
  constructor(taken) {
    this.#taken = taken;
    this.#setChecked(false);
    this.#file.addEventListener('change', () => {
      this.#nameWanted(false);
      this.#setChecked(false);
      if (this.#file.files?.[0]) this.#form.requestSubmit();
    });
    this.#name.addEventListener('input', () => this.#setChecked(false));
    onSubmit(this.#form, () => this.#submit());
    this.#form.hidden = false;
  }

  /** @param {boolean} is */
  #setChecked(is) {
    this.#checked = is;
    byId('take-in-go', HTMLButtonElement).textContent = is ? 'Take it in' : 'See what it would change';
    if (!is) this.#status.replaceChildren();
  }

  /** @param {boolean} is  the field is filled in where the name of the sled is taken here */
  #nameWanted(is) {
    byId('take-in-named', HTMLDivElement).hidden = !is;
    if (!is) this.#name.value = '';
  }

  async #submit() {
    const file = this.#file.files?.[0];
    if (!file) throwFaults([{ at: 'file', detail: 'Choose the file that the other crew sent.' }]);
    const dryRun = !this.#checked;
    const found = await this.#send(/** @type {File} */ (file), dryRun);
    if (dryRun) {
      this.#setChecked(true);
      this.#say(found.detail, 'Nothing is stored yet.');
      return;
    }
    this.#form.reset();
    this.#nameWanted(false);
    this.#setChecked(false);
    this.#say(found.detail, 'It is here: ', el('a', { href: address('/fleet', { sled: found.sled.id }) }, isolated(found.sled.name)));
    await this.#taken();
  }

  /** @param {string} detail @param {...(string|Node)} then */
  #say(detail, ...then) {
    this.#status.replaceChildren(el('div', { class: 'notice' }, el('p', {}, detail), el('p', {}, ...then)));
  }

  /** @param {File} file @param {boolean} dryRun @returns {Promise<TakenIn>} @throws {Problem} */
  async #send(file, dryRun) {
    const query = { dry_run: dryRun || undefined, name: control(this.#form, 'name').value.trim() || undefined };
    this.#status.textContent = 'Sending it …';
    try {
      return await withKey(() => upload(address('/v1/sleds/import', query), file, {
        type: 'application/json',
        progress: (share) => { if (share === 1) this.#status.textContent = 'The server looks through it …'; },
        unreached: 'The server could not be reached, or its answer did not come back. Try again when there is signal: ' +
          'what was taken in already is not taken in twice.',
      }));
    } catch (error) {
      this.#setChecked(false);
      if (error instanceof Problem && (error.codes.includes('name-taken') || error.faults.some(({ at }) => at === 'name'))) {
        this.#nameWanted(true);
      }
      throw error;
    }
  }
}

/** @param {() => Promise<void>} taken  called after a sled was taken in */
export function startTakingIn(taken) {
  new TakeInForm(taken);
}
