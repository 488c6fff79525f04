// @ts-check
// The sign-in dialog. It stays open until a key is accepted or the person cancels.

import { Problem } from '../lib/api.js';
import { el } from '../lib/dom.js';
import { session, signIn } from './session.js';

/** All callers share one dialog. @type {Promise<boolean>|undefined} */
let pending;

/** Asks for a key until one is accepted. False when canceled. @param {string} [reason] @returns {Promise<boolean>} */
export function askToSignIn(reason = session()?.private
  ? 'Nothing of this fleet is shown without a key.'
  : 'Reading is open to everybody; a change needs a key.') {
  pending ??= ask(reason).finally(() => { pending = undefined; });
  return pending;
}

/** @param {string} reason @returns {Promise<boolean>} */
function ask(reason) {
  const key = el('input', {
    id: 'sign-in-key', type: 'password', autocomplete: 'off', autocapitalize: 'off', spellcheck: 'false', maxlength: 200, required: true,
    'aria-describedby': 'sign-in-fault',
  });
  const show = el('button', { type: 'button', class: 'plain', 'aria-pressed': 'false', onclick: () => {
    key.type = key.type === 'password' ? 'text' : 'password';
    show.setAttribute('aria-pressed', String(key.type === 'text'));
  } }, 'Show what I type');
  const fault = el('p', { id: 'sign-in-fault', class: 'fault', role: 'alert', hidden: true });
  const submit = el('button', { class: 'primary', type: 'submit' }, 'Sign in');
  const cancel = el('button', { type: 'button', onclick: () => dialog.close() }, 'Cancel');
  const form = el('form', { novalidate: true },
    el('h2', { id: 'sign-in-title' }, 'Sign in'), el('p', {}, reason),
    el('div', { class: 'field' }, el('label', { for: 'sign-in-key' }, 'Key'), key, fault, el('div', {}, show)),
    el('p', { class: 'hint' },
      'The browser stays signed in for 30 days, or until you sign out. The key itself is not kept on this device.'),
    el('div', { class: 'actions' }, submit, cancel));
  const dialog = el('dialog', { class: 'sign-in', 'aria-labelledby': 'sign-in-title' }, form);
  document.body.append(dialog);
  return new Promise((resolve) => {
    let signedIn = false;
    form.addEventListener('submit', async (event) => {
      event.preventDefault();
      if (submit.disabled) return;
      submit.disabled = true;
      const refusal = await trySignIn(key.value.trim());
      submit.disabled = false;
      signedIn = refusal === '';
      if (signedIn) {
        dialog.close();
        return;
      }
      fault.textContent = refusal;
      fault.hidden = false;
      key.setAttribute('aria-invalid', 'true');
      key.focus();
      key.select();
    });
    dialog.addEventListener('close', () => {
      dialog.remove();
      resolve(signedIn);
    });
    dialog.showModal();
    key.focus();
  });
}

/** @param {string} key @returns {Promise<string>} why it was not accepted; empty when it was */
async function trySignIn(key) {
  if (!key) return 'Type or paste the key.';
  try {
    await signIn(key);
    return '';
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return error.status === 401 || error.status === 422
      ? `${error.message} Look at it again; what you typed on the page is still here.`
      : error.message;
  }
}
