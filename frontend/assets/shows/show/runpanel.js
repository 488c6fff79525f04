// @ts-check
// One class as run: the plan, the lines of settings, and the forms.

import { withKey } from '../../account/key.js';
import { request } from '../../lib/api.js';
import { askYes } from '../../lib/dialogs.js';
import { el } from '../../lib/dom.js';
import { attempt } from '../../lib/forms.js';
import { isolated, nameOf, sentence } from '../../lib/text.js';
import { blocksWords, settingWords, sureWords, tonightWords, topsOut } from '../../model/showwords.js';
import { hookWords, inForce, nowInForce } from './hooks.js';
import { OutcomeForm } from './outcome.js';
import { PullForm } from './pull.js';
import { RunForm } from './runform.js';

/** @import { Units } from '../../lib/units.js' */
/** @import { Sheet, SheetRow } from '../../model/showtypes.js' */
/** @import { Sled } from '../../model/types.js' */
/** @import { InForce } from './hooks.js' */
/** @import { RunCallbacks } from './runpart.js' */

export class RunPanel {
  #path;
  #units;
  #callbacks;
  /** @type {{row: SheetRow, sheet: Sheet, sleds: Sled[]}|undefined} */
  #now;
  #title = el('span', { class: 'name' });
  #on = el('span', { class: 'now', hidden: true }, 'On now');
  #state = el('span', { class: 'state' });
  #plan = el('p', { class: 'plan' });
  #lines = el('ul', { class: 'lines' });
  #problem = el('p', { class: 'fault', role: 'alert', hidden: true });
  #run;
  #pull;
  #outcome;
  element;

  /**
   * @param {string} showPath
   * @param {string} id  of the class
   * @param {Units} units
   * @param {RunCallbacks} callbacks
   */
  constructor(showPath, id, units, callbacks) {
    this.#path = `${showPath}/classes/${encodeURIComponent(id)}`;
    this.#units = units;
    this.#callbacks = callbacks;
    this.#run = new RunForm(`${this.#path}/as-run`, units, callbacks);
    this.#pull = new PullForm(units, callbacks);
    this.#outcome = new OutcomeForm(`${this.#path}/outcome`, units, callbacks.reload);
    this.element = el('details', { class: 'run', id: `run-${id}`, 'data-class': id },
      el('summary', {}, this.#title, this.#on, this.#state),
      el('div', { class: 'run-body' }, this.#plan, this.#lines, this.#problem, this.#pull.element, this.#run.element,
        this.#outcome.element));
  }

  /** Marks the class that is on. @param {boolean} on */
  setOn(on) {
    this.#on.hidden = !on;
    this.element.classList.toggle('on', on);
  }

  /** @param {Units} units */
  setUnits(units) {
    this.#units = units;
    for (const form of [this.#run, this.#pull, this.#outcome]) form.setUnits(units);
    if (this.#now) this.show(this.#now.row, this.#now.sheet, this.#now.sleds);
  }

  /** @param {SheetRow} row @param {Sheet} sheet @param {Sled[]} sleds */
  show(row, sheet, sleds) {
    this.#now = { row, sheet, sleds };
    const planned = tonightWords(row.tonight, this.#units);
    const set = nowInForce(row.as_run);
    this.#title.textContent = row.name;
    this.#state.textContent = set
      ? `set: ${set.sled === sheet.sled ? '' : `${nameOf(set.sled, sleds)}, `}${settingWords(set.gear, set.start_ft, this.#units)}`
      : planned ? `planned: ${planned}` : 'nothing planned';
    const sled = sleds.find(({ id }) => id === sheet.sled);
    const pullOff = row.pull_off && tonightWords(row.pull_off.tonight, this.#units);
    this.#plan.replaceChildren(
      planned
        ? `Planned on ${isolated(sheet.sled_name)}: ${planned}, tops out at ${topsOut(row.tonight, this.#units)}, ` +
          `${sureWords(row.tonight)}.`
        : `Nothing planned on ${isolated(sheet.sled_name)}. ${row.tonight.detail ?? ''}`,
      pullOff ? ` Pull-off: ${pullOff}.` : '');
    const spans = inForce(row.as_run);
    this.#lines.replaceChildren(...(spans.length > 0 ? spans.map((span) => this.#line(span)) : [this.#nothingSet()]));
    this.#run.show(row, sheet, sled);
    this.#pull.show(row, sheet);
    this.#outcome.show(row.outcome);
  }

  /** Without a noted setting, a pull can still be made a reading: it ran as planned. */
  #nothingSet() {
    const { row, sheet } = /** @type {{row: SheetRow, sheet: Sheet}} */ (this.#now);
    const { nearest } = row.tonight;
    return el('li', {}, el('p', {}, 'Nothing noted yet.'),
      nearest && sheet.sled !== null && el('div', { class: 'actions', 'data-needs': 'operator' },
        this.#pullButton({ sled: sheet.sled, gear: nearest.gear, start_ft: nearest.start_ft }, 'as planned')));
  }

  /** @param {{sled: string, gear: string, start_ft: number}} setting @param {string} which */
  #pullButton(setting, which) {
    const { row, sleds } = /** @type {{row: SheetRow, sleds: Sled[]}} */ (this.#now);
    return el('button', {
      type: 'button', 'aria-label': `Note a pull as a reading: ${isolated(row.name)}, ${which}`,
      onclick: () => this.#pull.open(setting, nameOf(setting.sled, sleds)),
    }, 'Note a pull as a reading');
  }

  /** @param {InForce} span */
  #line(span) {
    const { row, sheet, sleds } = /** @type {{row: SheetRow, sheet: Sheet, sleds: Sled[]}} */ (this.#now);
    const { line } = span;
    const where = line.sled === sheet.sled ? '' : `, on ${nameOf(line.sled, sleds)}`;
    const words = `${hookWords(span)}: gear ${settingWords(line.gear, line.start_ft, this.#units)}${where}`;
    const more = [line.note && `“${line.note}”`, ...blocksWords(line, this.#units), line.weights && `weights: ${line.weights}`,
      line.show_changed && 'noted from a sheet that had been changed since'].filter(Boolean).join('\u00a0· ');
    return el('li', { 'data-line': line.id, class: span.replaced ? 'replaced' : '' },
      el('p', {}, sentence(words)), more && el('p', { class: 'about' }, more),
      el('div', { class: 'actions', 'data-needs': 'operator' },
        !span.replaced && this.#pullButton({ sled: line.sled, gear: line.gear, start_ft: line.start_ft }, hookWords(span)),
        el('button', {
          type: 'button', 'aria-label': `Take back: ${isolated(row.name)}, ${words}`,
          onclick: () => attempt(this.#problem, () => this.#takeBack(line.id, words)),
        }, 'Take back')));
  }

  /** @param {string} line @param {string} words */
  async #takeBack(line, words) {
    const explain = `${sentence(words)} It is removed, as noted by mistake.`;
    if (!await askYes({ title: 'Take this line back?', explain, confirm: 'Take it back' })) return;
    await withKey(() => request('DELETE', `${this.#path}/as-run/${encodeURIComponent(line)}`));
    await this.#callbacks.reload();
    this.element.querySelector('summary')?.focus();
  }
}
