// @ts-check
// The form that adds a sled.

import { withKey } from '../account/key.js';
import { address, request, Sending } from '../lib/api.js';
import { byId, control } from '../lib/dom.js';
import { onSubmit, throwFaults } from '../lib/forms.js';
import { readQuantity, switchFields } from '../lib/quantities.js';
import { askLabels, UNCLEAR_LABELS } from './gearlabels.js';

/** @import { Fault } from '../lib/api.js' */
/** @import { Units } from '../lib/units.js' */
/** @import { Sled } from '../model/types.js' */

/** Wires the form. The result switches its units. @param {Units} units @returns {(units: Units) => void} */
export function startAddForm(units) {
  const form = byId('add-form', HTMLFormElement);
  const sending = new Sending();
  let current = units;
  switchFields(form, units, units);
  form.hidden = false;
  onSubmit(form, async () => {
    const sled = await sledIn(form, current);
    const { data } = /** @type {{data: Sled}} */ (await withKey(() =>
      request('POST', '/v1/sleds', { body: sled, idempotencyKey: sending.keyFor(JSON.stringify(sled)) })));
    sending.finished();
    location.assign(address('/fleet', { sled: data.id }) + '#enter');
  });
  return (now) => {
    switchFields(form, current, now);
    current = now;
  };
}

/** @param {HTMLFormElement} form @param {Units} units */
async function sledIn(form, units) {
  /** @type {Fault[]} */
  const faults = [];
  const text = (/** @type {string} */ name) => control(form, name).value.trim() || undefined;
  const labels = await askLabels(control(form, 'gears').value);
  if (!text('name')) faults.push({ at: 'name', detail: 'A sled needs a name.' });
  if (labels === null) faults.push({ at: 'gears', detail: UNCLEAR_LABELS });
  else if (labels.length === 0) faults.push({ at: 'gears', detail: 'A sled needs at least one gear.' });
  const sled = {
    name: text('name'),
    owner: text('owner'),
    travel_ft: readQuantity(control(form, 'travel_ft'), units, faults),
    take_up_ft: readQuantity(control(form, 'take_up_ft'), units, faults),
    rail_mark_ft: readQuantity(control(form, 'rail_mark_ft'), units, faults),
    gears: labels?.map((label) => ({ label })),
    notes: text('notes'),
  };
  throwFaults(faults);
  return sled;
}
