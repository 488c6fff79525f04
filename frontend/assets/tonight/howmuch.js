// @ts-check
// The second question of the Tonight page: how much in the box. Only for sleds that were both weighed.

import { get, messageOf } from '../lib/api.js';
import { byId, el, field, row, table } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { picture } from '../lib/picture.js';
import { fillQuantity, quantityInput, readQuantity, switchFields } from '../lib/quantities.js';
import { weightWords } from '../lib/units.js';
import { signedWeight, weightAnswer } from '../model/weights.js';
import { startWords } from '../model/words.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Weights } from '../model/types.js' */
/** @import { Question, WeightQuestion } from './question.js' */

// The gears with the least left, of every gear and allowed start.
const RANKED = 6;
const MATCH_AT = { finish: 'the finish', hook: 'the hook', average: 'on average', overall: 'overall, nearest all along',
  'hook-and-finish': 'hook and finish, with blocks on the pan' };

/** @param {Question} asked @param {Units} units */
function queryOf({ sled, gear, start, on, weight }, units) {
  const { inBox, onPan, finish, matchAt } = /** @type {WeightQuestion} */ (weight);
  return { sled, gear, start_ft: start, on, in_box_lb: inBox, on_pan_lb: onPan, finish_ft: finish, match_at: matchAt, units };
}

/** The answer; undefined without a weight. @param {Question} asked @param {Units} units @param {AbortSignal} signal */
export async function weightsFor(asked, units, signal) {
  return asked.weight && /** @type {Promise<Weights>} */ (get('/v1/weights', { query: queryOf(asked, units), signal }));
}

export class HowMuch {
  #place = byId('how-much', HTMLElement);
  #units;
  #inBox = quantityInput({ id: 'in-box', name: 'in_box_lb' }, 'weight');
  #onPan = quantityInput({ id: 'on-pan', name: 'on_pan_lb' }, 'weight');
  #finish = quantityInput({ id: 'finish', name: 'finish_ft' }, 'distance');
  #matchAt = el('select', { id: 'match-at', name: 'match_at' },
    ...Object.entries(MATCH_AT).map(([value, label]) => el('option', { value }, label)));
  #label = el('label', { for: 'in-box' });
  #fold = el('details', { class: 'fold' }, el('summary', {}, 'Where it is matched, blocks on the pan'),
    field('Matched at', this.#matchAt),
    el('div', { class: 'field' }, el('label', { for: 'finish' }, 'The finish'), this.#finish,
      el('p', { class: 'hint' }, 'Where the class usually ends. Empty is the later of the two top-outs.')),
    el('div', { class: 'field' }, el('label', { for: 'on-pan' }, 'Blocks on the pan of the sled you know'), this.#onPan,
      el('p', { class: 'hint' }, 'As much is taken to lie on the other pan; matched at hook and finish, that is worked out.')));
  #form = el('form', { novalidate: true },
    el('div', { class: 'field' }, this.#label,
      el('div', { class: 'ask-weight' }, this.#inBox, el('button', { type: 'submit' }, 'How much?'))),
    this.#fold);
  #result = el('div', { 'aria-live': 'polite' });

  /** @param {Units} units @param {(weight: WeightQuestion|undefined) => void} changed */
  constructor(units, changed) {
    this.#units = units;
    this.#place.append(el('h2', { id: 'how-much-heading' }, 'And how much in the box?'), this.#form, this.#result);
    switchFields(this.#form, units, units);
    onSubmit(this.#form, async () => {
      /** @type {Fault[]} */
      const faults = [];
      const read = (/** @type {HTMLElement} */ of) => readQuantity(inputIn(of), this.#units, faults);
      const [inBox, onPan, finish] = [read(this.#inBox), read(this.#onPan), read(this.#finish)];
      throwFaults(faults);
      const matchAt = this.#matchAt.value === 'finish' ? undefined : this.#matchAt.value;
      changed(inBox === undefined ? undefined : { inBox, onPan, finish, matchAt });
    });
  }

  /**
   * Shows the question, and where a weight was given its answer, or why there is none.
   * @param {Question} asked
   * @param {{asked: string, on: string}} names
   * @param {Weights|Error|undefined} weights
   * @param {Units} units
   */
  show(asked, names, weights, units) {
    switchFields(this.#form, this.#units, units);
    this.#units = units;
    this.#label.textContent = `In the box of ${names.asked}`;
    const { inBox, onPan, finish, matchAt } = asked.weight ?? {};
    fillQuantity(inputIn(this.#inBox), inBox, units);
    fillQuantity(inputIn(this.#onPan), onPan, units);
    fillQuantity(inputIn(this.#finish), finish, units);
    this.#matchAt.value = matchAt ?? 'finish';
    this.#fold.hidden = !asked.weight;
    if (onPan || finish || matchAt) this.#fold.open = true;
    this.#result.replaceChildren(...(weights instanceof Error ? [el('p', { class: 'fault' }, messageOf(weights))]
      : weights ? this.#answer(asked, names, weights) : []));
    this.#place.hidden = false;
  }

  /** Hides the question, as where a sled was never weighed. */
  hide() {
    this.#place.hidden = true;
  }

  /** @param {Question} asked @param {{asked: string, on: string}} names @param {Weights} weights */
  #answer(asked, names, weights) {
    const query = /** @type {Record<string, string|number>} */ (
      Object.fromEntries(Object.entries(queryOf(asked, this.#units)).filter(([, value]) => value !== undefined)));
    const alt = `Pan load of ${names.asked} and ${names.on} along the pull. The lines above have the numbers.`;
    return [...weightAnswer(weights),
      weights.in_words.remaining.length > 0 && picture('/v1/weights.svg', query, alt, weights),
      weights.gears && this.#ranking(names.on, weights.gears),
      el('ul', { class: 'limits' }, ...weights.limits.map(({ detail, passed }) => el('li', { class: passed ? 'passed' : '' }, detail))),
      weights.load_caution && el('p', { class: 'caution' }, weights.load_caution),
    ].filter((part) => part instanceof Node);
  }

  /** @param {string} sled @param {NonNullable<Weights['gears']>} gears */
  #ranking(sled, gears) {
    const units = this.#units;
    const left = (/** @type {string} */ where, /** @type {number|null} */ lb) => lb === null ? '' : `${where} ${signedWeight(lb, units)}`;
    const title = `The gears of ${sled} nearest in weight`;
    return el('div', {}, el('h3', {}, title), table(title, ['Gear', 'Weight', 'Remains'],
      gears.slice(0, RANKED).map((one) => row(
        el('span', { class: 'cell' }, one.gear, el('small', {}, startWords(one.start_ft, units))),
        [el('span', { class: 'cell' }, weightWords(one.in_box_lb, units),
          one.on_pan_lb > 0 && el('small', {}, `and ${weightWords(one.on_pan_lb, units)} on the pan`),
          one.detail && el('small', {}, one.detail)),
          el('small', {}, left('hook', one.hook_lb), el('br', {}), left('finish', one.finish_lb))]))),
    el('p', { class: 'hint' }, 'What remains: how much more (+) or less (−) then lies on the pan than on that of the sled you know.'));
  }
}

/** @param {HTMLElement} place */
function inputIn(place) {
  return /** @type {HTMLInputElement} */ (place.querySelector('input'));
}
