// @ts-check
// Modal dialogs. Each call resolves when its dialog is closed.

import { el } from './dom.js';

/**
 * Asks for a line of text. Null when canceled.
 * @param {{title: string, explain: string, label: string, confirm: string, secret?: boolean, maxLength?: number}} question
 * @returns {Promise<string|null>}
 */
export function askText({ title, explain, label, confirm, secret = false, maxLength = 500 }) {
  const input = el('input', {
    id: 'dialog-text', type: secret ? 'password' : 'text', autocomplete: 'off', maxlength: maxLength, required: true,
  });
  const field = el('div', { class: 'field' }, el('label', { for: 'dialog-text' }, label), input);
  return openDialog(title, explain, [confirmButton(confirm)], () => input.value.trim(), field);
}

/**
 * Asks for a confirmation. False when canceled.
 * @param {{title: string, explain: string, confirm: string}} question
 * @returns {Promise<boolean>}
 */
export async function askYes({ title, explain, confirm }) {
  return await openDialog(title, explain, [confirmButton(confirm)], () => 'yes') !== null;
}

/**
 * Asks which of a few it is. Null when canceled.
 * @param {{title: string, explain: string, choices: {value: string, label: string}[]}} question  the likeliest choice first
 * @returns {Promise<string|null>}
 */
export function askWhich({ title, explain, choices }) {
  const buttons = choices.map(({ value, label }, place) => el('button', { type: 'submit', value, class: place === 0 && 'primary' }, label));
  return openDialog(title, explain, buttons, (pressed) => pressed.value);
}

/** @param {string} text */
function confirmButton(text) {
  return el('button', { class: 'primary', type: 'submit' }, text);
}

/**
 * @param {string} title
 * @param {string} explain
 * @param {HTMLButtonElement[]} buttons  besides the one that cancels
 * @param {(pressed: HTMLButtonElement) => string} answer
 * @param {...Node} fields
 * @returns {Promise<string|null>}
 */
function openDialog(title, explain, buttons, answer, ...fields) {
  const cancelButton = el('button', { type: 'button' }, 'Cancel');
  const form = el('form', { method: 'dialog' },
    el('h2', { id: 'dialog-title' }, title), el('p', {}, explain), ...fields,
    el('div', { class: 'actions' }, ...buttons, cancelButton));
  const dialog = el('dialog', { 'aria-labelledby': 'dialog-title' }, form);
  document.body.append(dialog);
  return new Promise((resolve) => {
    /** @type {string|null} */
    let result = null;
    form.addEventListener('submit', ({ submitter }) => {
      result = answer(/** @type {HTMLButtonElement} */ (submitter ?? buttons[0])) || null;
    });
    cancelButton.addEventListener('click', () => dialog.close());
    dialog.addEventListener('close', () => {
      dialog.remove();
      resolve(result);
    });
    dialog.showModal();
  });
}
