// @ts-check
// The list of keys, making a key, ending a key.

import { withKey } from '../account/key.js';
import { refreshSession } from '../account/session.js';
import { get, messageOf, request } from '../lib/api.js';
import { momentWords } from '../lib/dates.js';
import { askYes } from '../lib/dialogs.js';
import { byId, control, el } from '../lib/dom.js';
import { attempt, onSubmit, throwFaults } from '../lib/forms.js';
import { capitalized, counted, isolated } from '../lib/text.js';
import { phoneCode } from './phonecode.js';

/** @import { Role } from '../account/session.js' */
/** @import { Fault } from '../lib/api.js' */

/** @typedef {{id: string, name: string, role: Role, created_at: string, last_used_at: string|null, ended_at: string|null}} Key */

/** @type {Record<Role, string>} */
const MAY = {
  manager: 'everything',
  operator: 'readings, inspections, what a show was run with and how it went',
  promoter: 'classes and shows, and how it went',
};

export class Keys {
  #callbacks;
  #made = byId('new-key', HTMLDivElement);

  /** @param {{changed: () => Promise<void>}} callbacks  called after a key was made or ended */
  constructor(callbacks) {
    this.#callbacks = callbacks;
    const form = byId('key-form', HTMLFormElement);
    onSubmit(form, () => this.#make(form));
  }

  async load() {
    await attempt(byId('keys-problem', HTMLParagraphElement), async () => {
      const { items } = /** @type {{items: Key[]}} */ (await get('/v1/keys'));
      this.#show(items);
    });
  }

  /** Removes everything from the page after a sign-out. */
  clear() {
    this.#show([]);
    this.#made.hidden = true;
    this.#made.replaceChildren();
  }

  /** @param {Key[]} keys */
  #show(keys) {
    const ended = keys.filter(({ ended_at: at }) => at !== null);
    byId('keys-list', HTMLUListElement).replaceChildren(...keys.filter(({ ended_at: at }) => at === null).map((key) => this.#item(key)));
    byId('ended-list', HTMLUListElement).replaceChildren(...ended.map((key) => this.#item(key)));
    byId('ended-fold', HTMLDetailsElement).hidden = ended.length === 0;
    byId('ended-summary', HTMLElement).textContent = `${counted(ended.length, 'key')} that ended`;
  }

  /** @param {Key} key */
  #item(key) {
    const problem = el('p', { class: 'fault', role: 'alert', hidden: true });
    const used = key.last_used_at === null ? 'never used' : `last used ${momentWords(key.last_used_at)}`;
    const ended = key.ended_at !== null && `ended ${momentWords(key.ended_at)}`;
    const about = [used, `made ${momentWords(key.created_at)}`, ended].filter(Boolean).join('\u00a0· ');
    return el('li', {},
      el('div', {}, el('p', { class: 'name' }, key.name), el('p', {}, `${capitalized(key.role)}: ${MAY[key.role]}`),
        el('p', { class: 'about' }, about)),
      key.ended_at === null && el('div', { class: 'actions' },
        el('button', {
          type: 'button', 'aria-label': `Sign a phone in as ${isolated(key.name)}`,
          onclick: () => attempt(problem, () => this.#showCode(key)),
        }, 'Sign a phone in'),
        el('button', {
          type: 'button', 'aria-label': `End the key of ${isolated(key.name)}`,
          onclick: () => attempt(problem, () => this.#end(key)),
        }, 'End')),
      problem);
  }

  /** @param {HTMLFormElement} form */
  async #make(form) {
    /** @type {Fault[]} */
    const faults = [];
    const name = control(form, 'name').value.trim();
    const role = new FormData(form).get('role');
    if (!name) faults.push({ at: 'name', detail: 'Say whose key it is.' });
    if (!role) faults.push({ at: 'role', detail: 'Pick what it may do.' });
    throwFaults(faults);
    const { data } = /** @type {{data: {id: string, name: string, role: Role, key: string}}} */ (await withKey(() =>
      request('POST', '/v1/keys', { body: { name, role } })));
    form.reset();
    byId('make-fold', HTMLDetailsElement).open = false;
    this.#showMade(data, await phoneCode(data).catch((error) => [messageOf(error)])); // the key is there and must be seen
    await Promise.all([this.load(), this.#callbacks.changed()]);
  }

  /** Shows a code for a phone. @param {Key} key */
  async #showCode(key) {
    this.#showBox(el('h3', {}, `Sign a phone in as ${key.name}, ${key.role}`), ...await phoneCode(key),
      el('div', { class: 'actions' }, this.#doneButton('Done')));
  }

  /** @param {{name: string, role: Role, key: string}} made @param {(Node|string)[]} code  for a phone */
  #showMade({ name, role, key }, code) {
    const status = el('span', { role: 'status' });
    const shown = el('output', { 'aria-label': 'The key' }, key);
    const copy = async () => {
      try {
        await navigator.clipboard.writeText(key);
        status.textContent = 'Copied.';
      } catch { // no HTTPS, or not allowed
        getSelection()?.selectAllChildren(shown);
        status.textContent = 'This browser does not copy by itself: the key is marked, copy it from there.';
      }
    };
    this.#showBox(
      el('h3', {}, `The key of ${name}, ${role}`), ...code,
      el('p', {}, 'For a computer, or a program that uses the API, the key itself:'), shown,
      el('p', {}, el('strong', {}, 'It is shown this once. '),
        'Hand it over safely: anybody who has it can sign in with it. ' +
        'Lost, it cannot be found again; end it then and make another.'),
      el('div', { class: 'actions' }, el('button', { type: 'button', class: 'primary', onclick: copy }, 'Copy the key'),
        this.#doneButton('I have it'), status));
  }

  /** @param {string} text */
  #doneButton(text) {
    const done = () => {
      this.#made.hidden = true;
      this.#made.replaceChildren(); // not in the document any more
      byId('keys', HTMLElement).focus();
    };
    return el('button', { type: 'button', onclick: done }, text);
  }

  /** @param {...(Node|string)} parts */
  #showBox(...parts) {
    this.#made.replaceChildren(...parts);
    this.#made.hidden = false;
    this.#made.focus();
    this.#made.scrollIntoView({ block: 'nearest' });
  }

  /** @param {Key} key */
  async #end(key) {
    const sure = await askYes({
      title: `End the key of ${isolated(key.name)}?`,
      explain: 'At once nothing can be changed with it any more, and every browser signed in with it is signed out, ' +
        'yours too if it is your own. What was done with it stays. It cannot be brought back; a new one can be made.',
      confirm: 'End it',
    });
    if (!sure) return;
    await withKey(() => request('DELETE', `/v1/keys/${encodeURIComponent(key.id)}`));
    const who = await refreshSession();
    if (who && !who.signed_in) return; // this browser was signed in with that key
    await Promise.all([this.load(), this.#callbacks.changed()]);
    byId('keys', HTMLElement).focus();
  }
}
