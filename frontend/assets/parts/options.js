// @ts-check
// The form for part options: which of the available parts would make one sled like another.

import { address, get, Problem } from '../lib/api.js';
import { byId, control, el, putText } from '../lib/dom.js';
import { onSubmit, submitting, throwFaults } from '../lib/forms.js';
import { lengthHelp, parseLength, parseLengths } from '../lib/lengths.js';
import { finelyNoted } from '../lib/quantities.js';
import { fromFeet, parseNumber } from '../lib/units.js';
import { showRanking } from './ranking.js';
import { axleWords } from './words.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Options, PartsSled } from './types.js' */

const LISTS = /** @type {const} */ (['final_ratio', 'axle_ratio', 'sprocket_teeth', 'tire_circumference_ft']);

export class OptionsForm {
  #units;
  #form = byId('options-form', HTMLFormElement);
  #result = byId('options-result', HTMLDivElement);
  /** @type {PartsSled|undefined} */
  #sled;
  /** @type {{answer: Options, reference: string}|undefined} */
  #found;

  /** @param {Units} units */
  constructor(units) {
    this.#units = units;
    onSubmit(this.#form, () => this.#ask());
    byId('print-options', HTMLButtonElement).addEventListener('click', () => {
      document.body.classList.add('options-only');
      window.print();
    });
    window.addEventListener('afterprint', () => document.body.classList.remove('options-only'));
    this.#form.querySelectorAll('[data-length]').forEach((unit) => { unit.textContent = units; });
  }

  /** Offers the sleds, and fills the form from the link. @param {PartsSled[]} others @param {URLSearchParams} link */
  offer(others, link) {
    const choice = byId('reference', HTMLSelectElement);
    choice.replaceChildren(el('option', { value: '' }, 'Pick a sled'), ...others.map(({ id, name }) => el('option', { value: id }, name)));
    choice.value = others.find(({ id }) => id === link.get('reference'))?.id ?? '';
    for (const name of LISTS) {
      const given = link.getAll(name).map(Number).filter(Number.isFinite);
      control(this.#form, name).value =
        given.map((value) => (name === 'tire_circumference_ft' ? rounded(fromFeet(value, this.#units)) : value)).join(', ');
    }
    for (const name of LISTS) {
      const now = Number(link.get(`${name}_now`) || NaN);
      const shown = name === 'tire_circumference_ft' ? rounded(fromFeet(now, this.#units)) : now;
      if (now > 0) control(this.#form, `${name}_now`).value = String(shown);
    }
    control(this.#form, 'gear_set').value = link.getAll('gear_set').join('\n');
    byId('more-options', HTMLDetailsElement).open = [...LISTS.slice(1), 'gear_set'].some((name) => link.has(name));
    if (choice.value && [...LISTS, 'gear_set'].some((name) => link.has(name))) submitting(this.#form, () => this.#ask());
  }

  /** @param {Units} units */
  setUnits(units) {
    for (const name of ['tire_circumference_ft', 'tire_circumference_ft_now']) {
      const field = control(this.#form, name);
      const given = parseLengths(field.value, this.#units).map(({ feet }) => feet);
      if (!given.includes(null)) field.value = given.map((feet) => rounded(fromFeet(feet ?? 0, units))).join(', ');
    }
    this.#form.querySelectorAll('[data-length]').forEach((unit) => { unit.textContent = units; });
    this.#units = units;
    this.#showNow();
    this.#show();
  }

  /** @param {PartsSled} sled */
  show(sled) {
    this.#sled = sled;
    this.#showNow();
  }

  /** What is on the sled; what is not noted of it can be said here. */
  #showNow() {
    const known = this.#sled?.driveline ?? {};
    const { tire_circumference_ft: feet, axle_ratios: ratios } = known;
    for (const name of LISTS) {
      const noted = name === 'tire_circumference_ft' ? feet && finelyNoted(feet, this.#units) : known[name];
      const twoSpeeds = name === 'axle_ratio' && ratios !== undefined;
      const now = this.#form.querySelector(`[data-now="${name}"]`);
      now?.toggleAttribute('hidden', noted !== undefined || twoSpeeds);
      control(this.#form, name).hidden = twoSpeeds;
      byId(`try-${name}-hint`, HTMLParagraphElement).textContent = twoSpeeds
        ? `Two speeds: ${axleWords(ratios)}. One number cannot replace both.`
        : noted === undefined ? '' : `On it now: ${noted}.`;
    }
    const labels = this.#sled?.gears.map(({ label }) => label) ?? [];
    byId('try-gear_set-hint', HTMLParagraphElement).textContent =
      `One set on each line, a ratio for each gear in the order of the lever: ${labels.join(', ')}.`;
  }

  async #ask() {
    const sled = this.#sled;
    if (!sled) throw new Problem(0, 'Not ready', 'The sled is still being read. Try again in a moment.');
    const reference = control(this.#form, 'reference').value;
    const query = { sled: sled.id, reference, ...this.#lists(reference) };
    const answer = await ask(query);
    this.#found = { answer, reference: byId('reference', HTMLSelectElement).selectedOptions[0]?.textContent ?? reference };
    history.replaceState(null, '', `${address('/what-if', { ...query, units: this.#units })}#options`);
    this.#show();
  }

  /** @param {string} reference */
  #lists(reference) {
    /** @type {Fault[]} */
    const faults = [];
    /** @type {Record<string, string[]>} */
    const query = {};
    if (!reference) faults.push({ at: 'reference', detail: 'Which sled should it be like?' });
    for (const name of LISTS) {
      const typed = control(this.#form, name).value;
      const lengths = name === 'tire_circumference_ft';
      const given = lengths ? parseLengths(typed, this.#units).map(({ text, feet }) => ({ text, value: feet }))
        : listed(typed).map((text) => ({ text, value: parseNumber(text) }));
      const wrong = given.find(({ value }) => value === null)?.text;
      if (wrong !== undefined) faults.push({ at: name, detail: lengths ? `“${wrong}” is no length. ${lengthHelp(this.#units)}`
        : `“${wrong}” is not a number. Write them with commas between: 5.1, 5.5.` });
      query[name] = given.map(({ value }) => String(value));
      const now = control(this.#form, `${name}_now`);
      if (given.length === 0 || now.closest('[data-now]')?.hasAttribute('hidden')) continue; // or it is noted
      const text = now.value.trim();
      const value = lengths ? parseLength(text, this.#units) : parseNumber(text);
      if (text === '') faults.push({ at: now.name, detail: 'What is on it now? Only what would change has to be known.' });
      else if (value === null) {
        const help = lengths ? `is no length. ${lengthHelp(this.#units)}` : 'is not a number.';
        faults.push({ at: now.name, detail: `“${text}” ${help}` });
      } else query[now.name] = [String(value)];
    }
    query.gear_set = control(this.#form, 'gear_set').value.split('\n').map((line) => listed(line).join(',')).filter(Boolean);
    throwFaults(faults);
    return query;
  }

  #show() {
    if (!this.#found || !this.#sled) return;
    putText('caution', this.#found.answer.caution); // of both sleds
    this.#result.replaceChildren(...showRanking(this.#found.answer, this.#sled, this.#found.reference, this.#units));
    byId('print-options', HTMLButtonElement).hidden = false;
  }
}

/** @param {Record<string, string|string[]>} query @returns {Promise<Options>} */
async function ask(query) {
  try {
    return await get('/v1/part-options', { query });
  } catch (error) {
    // The sled is not a field of this form.
    if (error instanceof Problem) for (const fault of error.faults) if (fault.at === 'sled') fault.at = '';
    throw error;
  }
}

/** "5.1, 5.5" or, where commas are decimal, "5,1; 5,5". @param {string} text */
function listed(text) {
  return text.split(text.includes(';') ? ';' : /[,\s]+/).map((one) => one.trim()).filter(Boolean);
}

/** @param {number} value */
function rounded(value) {
  return Number(value.toFixed(4));
}
