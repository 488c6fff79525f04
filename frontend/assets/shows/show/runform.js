// @ts-check
// The form that notes a setting as run: first hook, gear, start position, reason. Large targets, for gloves.

import { chooseIn, chosenIn, el, field, radios } from '../../lib/dom.js';
import { onSubmit, showFaults, submitting, throwFaults } from '../../lib/forms.js';
import { StartField } from '../../lib/lengthfield.js';
import { isolated } from '../../lib/text.js';
import { chosenGear, gearChoices } from '../../model/gears.js';
import { settingWords } from '../../model/showwords.js';
import { BLOCKS, WeighedFields } from '../../model/weighedfields.js';
import { nowInForce } from './hooks.js';
import { startStepper } from '../stepper.js';

/** @import { Fault } from '../../lib/api.js' */
/** @import { Units } from '../../lib/units.js' */
/** @import { AsRun, Sheet, SheetRow } from '../../model/showtypes.js' */
/** @import { Sled } from '../../model/types.js' */
/** @import { RunCallbacks } from './runpart.js' */

const PULL_OFF = 'Pull-off';
const REASONS = ['As planned', 'Test pull went full', PULL_OFF, 'Track changed', 'Other'];
// Not written into the note.
const IMPLIED = ['As planned', PULL_OFF, 'Other'];
let count = 0;

export class RunForm {
  #path;
  #units;
  #callbacks;
  #id = `set-${++count}`;
  #hook = el('input', { id: `${this.#id}-hook`, name: 'from_hook', inputmode: 'numeric', autocomplete: 'off' });
  #gears = el('div', { class: 'choices' });
  #start;
  #reasons = el('div', { class: 'choices' }, ...radios(`${this.#id}-why`, REASONS.map((label) => ({ value: label, label })), ''));
  #note = el('input', { id: `${this.#id}-note`, name: 'note', autocomplete: 'off', maxlength: 400 });
  #weights = el('input', { id: `${this.#id}-weights`, name: 'weights', autocomplete: 'off', maxlength: 200 });
  #blocks;
  #status = el('div', { role: 'status' });
  /** @type {{row: SheetRow, sheet: Sheet, sled: Sled|undefined}|undefined} */
  #now;
  /** The values filled in for the next line, to detect edits. */
  #filled = '';
  /** @type {HTMLFormElement} */
  element;

  /** @param {string} path of the class's lines @param {Units} units @param {RunCallbacks} callbacks */
  constructor(path, units, callbacks) {
    this.#path = path;
    this.#units = units;
    this.#callbacks = callbacks;
    const { stepper, input } = startStepper(`${this.#id}-start`, 'start_ft', 'The box starts at');
    this.#start = new StartField(input, units);
    this.#blocks = new WeighedFields(this.#id, '', units, false, BLOCKS);
    this.element = el('form', { novalidate: true, class: 'panel set', 'data-needs': 'operator' },
      el('h3', {}, 'Set'),
      el('div', { class: 'field' }, el('label', { for: this.#hook.id }, 'From hook'),
        el('div', { class: 'stepper' },
          el('button', { type: 'button', 'aria-label': 'One hook earlier', onclick: () => this.#step(-1) }, '−'), this.#hook,
          el('button', { type: 'button', 'aria-label': 'One hook later', onclick: () => this.#step(1) }, '+'))),
      el('fieldset', { class: 'field', 'data-at': 'gear' }, el('legend', {}, 'Gear'), this.#gears), stepper,
      el('fieldset', { class: 'field', 'data-at': 'pull_off' }, el('legend', {}, 'Why'), this.#reasons),
      el('details', { class: 'fold' }, el('summary', {}, 'In words, weights'),
        field('In words', this.#note), this.#blocks.element, field('Weights tonight', this.#weights)),
      this.#status,
      el('div', { class: 'actions' }, el('button', { class: 'primary', type: 'submit' }, 'Note this setting')));
    this.#reasons.addEventListener('change', () => this.#reasonChosen());
    onSubmit(this.element, () => this.#send());
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    this.#start.setUnits(units);
    this.#blocks.setUnits(units);
  }

  /** @param {SheetRow} row @param {Sheet} sheet @param {Sled|undefined} sled */
  show(row, sheet, sled) {
    this.#now = { row, sheet, sled };
    this.element.hidden = sheet.sled === null;
    this.#start.railMarkFt = sled?.rail_mark_ft || 0.5;
    this.#blocks.weighed = sled?.weighings !== undefined;
    const set = nowInForce(row.as_run);
    const next = this.#next(set);
    const untouched = this.#filled === '' || this.#filled === this.#typed();
    const { nearest, runner_up: runnerUp } = row.tonight;
    const labels = sled?.gears.map(({ label }) => label) ?? [nearest, runnerUp].flatMap((one) => one?.gear ?? []);
    const gear = untouched ? next.gear : chosenGear(this.#gears);
    this.#gears.replaceChildren(...gearChoices(`${this.#id}-gear`, labels, gear));
    if (!untouched) return;
    // The first line usually starts at hook 1; the next ones have no default.
    this.#hook.value = set ? '' : '1';
    this.#start.feet = next.start_ft;
    this.#filled = this.#typed();
  }

  /** The default of the next setting: the current one, else the planned one. @param {AsRun|undefined} set */
  #next(set) {
    const { row, sheet } = /** @type {{row: SheetRow, sheet: Sheet}} */ (this.#now);
    if (set && set.sled === sheet.sled) return { gear: set.gear, start_ft: set.start_ft };
    return { gear: row.tonight.nearest?.gear ?? '', start_ft: row.tonight.nearest?.start_ft ?? row.home.start_ft };
  }

  #typed() {
    return JSON.stringify([this.#hook.value, chosenGear(this.#gears), this.#start.feet, chosenIn(this.#reasons), this.#note.value,
      this.#weights.value, this.#blocks.differ({})]);
  }

  /** Fills in the class's pull-off setting, if it has one. */
  #reasonChosen() {
    const { row } = /** @type {{row: SheetRow}} */ (this.#now);
    if (chosenIn(this.#reasons) === 'Other') {
      const fold = this.#note.closest('details');
      if (fold) fold.open = true;
      this.#note.focus();
    }
    const planned = row.pull_off?.tonight.nearest;
    if (chosenIn(this.#reasons) !== PULL_OFF || !planned) return;
    chooseIn(this.#gears, planned.gear);
    const select = this.#gears.querySelector('select');
    if (select) select.value = planned.gear;
    this.#start.feet = planned.start_ft;
  }

  /** @param {number} by */
  #step(by) {
    const { row } = /** @type {{row: SheetRow}} */ (this.#now);
    const typed = Number.parseInt(this.#hook.value, 10);
    const last = Math.max(0, ...row.as_run.map((line) => line.from_hook));
    this.#hook.value = String(Math.min(500, Math.max(1, (Number.isNaN(typed) ? last : typed) + by)));
  }

  async #send() {
    const { row, sheet } = /** @type {{row: SheetRow, sheet: Sheet}} */ (this.#now);
    this.#status.replaceChildren();
    /** @type {Fault[]} */
    const faults = [];
    const hook = /^\d+$/.test(this.#hook.value.trim()) ? Number(this.#hook.value) : NaN;
    if (!(hook >= 1 && hook <= 500)) faults.push({ at: 'from_hook', detail: 'From which hook on? A whole number, 1 to 500.' });
    const gear = chosenGear(this.#gears);
    if (!gear) faults.push({ at: 'gear', detail: 'Pick the gear.' });
    const start = this.#start.feet;
    if (start === null) faults.push({ at: 'start_ft', detail: this.#start.fault });
    const blocks = this.#blocks.read(faults);
    throwFaults(faults);
    const reason = chosenIn(this.#reasons);
    const body = {
      from_hook: hook, gear, start_ft: start ?? 0, pull_off: reason === PULL_OFF || undefined,
      weights: this.#weights.value.trim() || undefined, ...blocks,
      note: [IMPLIED.includes(reason) ? '' : reason, this.#note.value.trim()].filter(Boolean).join(': ') || undefined,
      sheet_revision: sheet.show_revision,
    };
    const outcome = await this.#callbacks.send({ path: this.#path, body,
      label: `${isolated(row.name)}, from hook ${hook}: ${settingWords(gear, start ?? 0, this.#units)}` });
    if (outcome.status === 'refused') {
      showFaults(this.element, outcome.problem);
      this.#status.replaceChildren(this.#reloadButton());
      return;
    }
    this.#reset();
    if (outcome.status === 'waiting') {
      this.#status.replaceChildren(el('p', { class: 'notice' }, 'Kept on this phone. It is sent once there is signal.'));
      return;
    }
    if (/** @type {AsRun|undefined} */ (outcome.answer)?.show_changed) {
      this.#status.replaceChildren(el('p', { class: 'notice' }, 'Noted. The show was changed since you opened the sheet: look again.'),
        this.#reloadButton());
    } else {
      this.#status.replaceChildren(el('p', { class: 'unseen' }, 'Noted.'));
    }
    await this.#callbacks.reload();
  }

  #reloadButton() {
    return el('button', {
      type: 'button',
      onclick: () => submitting(this.element, async () => {
        await this.#callbacks.reloadAll();
        this.#status.replaceChildren();
      }),
    }, 'Look at the show again');
  }

  /** Empties the form. It is filled again with the next sheet. */
  #reset() {
    chooseIn(this.#reasons, undefined);
    this.#note.value = '';
    this.#weights.value = '';
    this.#blocks.show({});
    this.#hook.value = '';
    this.#filled = '';
  }
}
