// @ts-check
// Edit conflicts (412): loads the newest state into the form and keeps typed values.

import { Problem } from './api.js';
import { el } from './dom.js';
import { submitting } from './forms.js';

/**
 * Saves. When the server has a newer state, offers to load it.
 * @param {HTMLFormElement} form
 * @param {HTMLElement} place  shows the offer and its result
 * @param {() => Promise<void>} save
 * @param {() => Promise<string[]>} reload  resolves to the names of the typed values that stay
 */
export async function saveOrReload(form, place, save, reload) {
  try {
    await save();
  } catch (error) {
    if (!(error instanceof Problem) || error.status !== 412) throw error;
    const button = el('button', { type: 'button' }, 'Load what is there now and keep what I typed');
    button.addEventListener('click', () => submitting(form, async () => {
      const typed = await reload();
      place.replaceChildren(el('p', { class: 'notice' },
        typed.length > 0
          ? `Loaded. Kept as you typed them: ${typed.join(', ')}. Look it over and save again.`
          : 'Loaded. There is nothing left to save.'));
    }));
    place.replaceChildren(el('p', { class: 'notice' }, `${error.message} Nothing was saved, and what you typed is still here.`), button);
    button.focus();
  }
}
