// @ts-check
// Shared by all forms: numbers from fields, faults beside fields, buttons disabled while submitting.

import { messageOf, Problem } from './api.js';
import { el } from './dom.js';

/** @import { Fault } from './api.js' */

let faultCount = 0;

/** Removes earlier faults from the form. @param {HTMLFormElement} form */
function clearFaults(form) {
  for (const text of form.querySelectorAll('.fault, .faults')) text.remove();
  for (const field of form.querySelectorAll('[aria-invalid]')) {
    field.removeAttribute('aria-invalid');
    const others = (field.getAttribute('aria-describedby') ?? '').split(' ').filter((id) => !id.startsWith('fault-'));
    if (others[0]) field.setAttribute('aria-describedby', others.join(' '));
    else field.removeAttribute('aria-describedby');
  }
}

/**
 * Shows each fault beside its field and the others at the top of the form, and focuses the first.
 * @param {HTMLFormElement} form
 * @param {unknown} error
 */
export function showFaults(form, error) {
  clearFaults(form);
  const problem = error instanceof Problem ? error : new Problem(0, 'Something went wrong', String(error));
  /** @type {HTMLElement|undefined} */
  let first;
  const others = [];
  for (const fault of problem.faults) {
    const field = fieldFor(form, fault.at);
    if (field) {
      const place = addFault(field, fault.detail); // all of them, not only the first
      first ??= place;
    } else others.push(fault.at ? `${fault.at}: ${fault.detail}` : fault.detail);
  }
  const box = el('div', { class: 'faults', role: 'alert', tabindex: '-1' }, el('p', {}, problem.message));
  if (others.length > 0) box.append(el('ul', {}, ...others.map((text) => el('li', {}, text))));
  form.prepend(box);
  (first ?? box).focus();
}

/**
 * The field of a fault: by name, or by data-at as in "gears[2].label".
 * @param {HTMLFormElement} form
 * @param {string} at
 * @returns {HTMLElement|null}
 */
function fieldFor(form, at) {
  const exact = form.querySelector(`[name="${CSS.escape(at)}"]:not([type="radio"]), [data-at="${CSS.escape(at)}"]`);
  if (exact instanceof HTMLElement) return exact;
  const whole = at.split(/[[.]/)[0];
  const found = whole ? form.querySelector(`[name="${CSS.escape(whole)}"]:not([type="radio"]), [data-at="${CSS.escape(whole)}"]`) : null;
  return found instanceof HTMLElement ? found : null;
}

/** @param {HTMLElement} field @param {string} text */
function addFault(field, text) {
  const id = `fault-${++faultCount}`;
  const note = el('p', { class: 'fault', id }, text);
  field.setAttribute('aria-invalid', 'true');
  field.setAttribute('aria-describedby', `${field.getAttribute('aria-describedby') ?? ''} ${id}`.trim());
  const folded = field.closest('details');
  if (folded) folded.open = true;
  if (field instanceof HTMLFieldSetElement) {
    field.append(note);
    return field.querySelector('input') ?? field;
  }
  (field.closest('.with-unit, .stepper') ?? field).after(note);
  return field;
}

/**
 * Runs the work of a form with its buttons disabled. An error is shown on the form; typed values stay.
 * @param {HTMLFormElement} form
 * @param {() => Promise<void>} work
 */
export async function submitting(form, work) {
  const buttons = [...form.querySelectorAll('button')];
  clearFaults(form);
  buttons.forEach((button) => { button.disabled = true; });
  try {
    await work();
  } catch (error) {
    buttons.forEach((button) => { button.disabled = false; });
    showFaults(form, error);
  } finally {
    buttons.forEach((button) => { button.disabled = false; });
  }
}

/** Runs the work on submit, by submitting(). @param {HTMLFormElement} form @param {() => Promise<void>} work */
export function onSubmit(form, work) {
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    submitting(form, work);
  });
}

/**
 * Runs work outside a form. An error is shown in a place that is hidden otherwise.
 * @param {HTMLElement} place
 * @param {() => Promise<void>} work
 */
export async function attempt(place, work) {
  place.hidden = true;
  try {
    await work();
  } catch (error) {
    place.hidden = false;
    place.textContent = messageOf(error);
  }
}

/** @param {Fault[]} faults @throws {Problem} when there are any */
export function throwFaults(faults) {
  if (faults.length > 0) {
    const count = faults.length === 1 ? 'One thing is' : `${faults.length} things are`;
    throw new Problem(422, 'Not sent', `${count} missing or wrong.`, faults);
  }
}
