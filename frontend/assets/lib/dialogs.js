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
  return openDialog(title, explain, confirm, () => input.value.trim(), field);
}

/**
 * Asks for a confirmation. False when canceled.
 * @param {{title: string, explain: string, confirm: string}} question
 * @returns {Promise<boolean>}
 */
export async function askYes({ title, explain, confirm }) {
  return await openDialog(title, explain, confirm, () => 'yes') !== null;
}

/**
 * @param {string} title
 * @param {string} explain
 * @param {string} confirm
 * @param {() => string} answer
 * @param {...Node} fields
 * @returns {Promise<string|null>}
 */
function openDialog(title, explain, confirm, answer, ...fields) {
  const cancelButton = el('button', { type: 'button' }, 'Cancel');
  const form = el('form', { method: 'dialog' },
    el('h2', { id: 'dialog-title' }, title), el('p', {}, explain), ...fields,
    el('div', { class: 'actions' }, el('button', { class: 'primary', type: 'submit' }, confirm), cancelButton));
  const dialog = el('dialog', { 'aria-labelledby': 'dialog-title' }, form);
  document.body.append(dialog);
  return new Promise((resolve) => {
    /** @type {string|null} */
    let result = null;
    form.addEventListener('submit', () => { result = answer() || null; });
    cancelButton.addEventListener('click', () => dialog.close());
    dialog.addEventListener('close', () => {
      dialog.remove();
      resolve(result);
    });
    dialog.showModal();
  });
}
