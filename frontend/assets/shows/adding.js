// @ts-check
// The forms for new shows and classes.

import { withKey } from '../account/key.js';
import { address, request, Sending } from '../lib/api.js';
import { byId, control, el } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { anyWeighed } from '../model/sleds.js';
import { ClassForm } from './classform.js';
import { ShowFields } from './form.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { PullingClass, Show } from '../model/showtypes.js' */
/** @import { Sled } from '../model/types.js' */

/**
 * @param {Show[]} shows
 * @param {PullingClass[]} classes
 * @param {Sled[]} sleds
 * @param {Units} units
 * @param {() => Promise<void>} stored  a class was added
 * @returns {{setUnits: (units: Units) => void, setClasses: (classes: PullingClass[]) => void}}
 */
export function startAdding(shows, classes, sleds, units, stored) {
  const fields = startNewShow(shows, classes, sleds, units);
  fields.classes = classes;
  const newClass = new ClassForm(sleds, units, { stored });
  byId('new-class-form', HTMLDivElement).append(newClass.element);
  return {
    setUnits: (now) => {
      newClass.setUnits(now);
      fields.track.setUnits(now);
    },
    setClasses: (now) => { fields.classes = now; },
  };
}

/** @param {Show[]} shows @param {PullingClass[]} classes @param {Sled[]} sleds @param {Units} units */
function startNewShow(shows, classes, sleds, units) {
  const form = byId('new-show-form', HTMLFormElement);
  const fields = new ShowFields(form, 'new-show', classes, units, anyWeighed(sleds));
  const sending = new Sending();
  const sled = control(form, 'sled');
  sled.append(el('option', { value: '' }, 'None yet'),
    ...sleds.filter(({ retired }) => !retired).map(({ id, name }) => el('option', { value: id }, name)));
  const like = byId('new-show-like', HTMLSelectElement);
  like.append(...shows.map(({ id, name, date }) => el('option', { value: id }, `${name}, ${date}`)));
  const likeField = byId('new-show-like-field', HTMLDivElement);
  likeField.hidden = shows.length === 0;
  form.querySelector('[data-at="classes"]')?.after(likeField);
  byId('new-show-take', HTMLButtonElement).addEventListener('click', () => {
    const from = shows.find(({ id }) => id === like.value);
    // Only adds classes.
    if (from) fields.order = [...fields.order, ...from.classes.filter((id) => !fields.order.includes(id))];
  });
  onSubmit(form, async () => {
    /** @type {Fault[]} */
    const faults = [];
    const show = { ...fields.read(faults), sled: sled.value || null };
    throwFaults(faults);
    const { data } = /** @type {{data: Show}} */ (await withKey(() =>
      request('POST', '/v1/shows', { body: show, idempotencyKey: sending.keyFor(JSON.stringify(show)) })));
    sending.finished();
    location.assign(address('/shows', { show: data.id }));
  });
  form.hidden = false;
  return fields;
}
