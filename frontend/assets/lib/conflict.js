// @ts-check
// Somebody else has changed what a form is about (412): its newest state is loaded, and what was typed stays.

import { Problem } from './api.js';
import { el } from './dom.js';
import { submitting } from './forms.js';

/**
 * Saves; where the server has a newer state, offers to load that.
 * @param {HTMLFormElement} form
 * @param {HTMLElement} place  where that is said
 * @param {() => Promise<void>} save
 * @param {() => Promise<string[]>} reload  resolves to what was typed and stays, in words
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
        typed.length > 0 ? `Loaded. Kept as you typed them: ${typed.join(', ')}. Look it over and save again.` : 'Loaded. There is nothing left to save.'));
    }));
    place.replaceChildren(el('p', { class: 'notice' }, `${error.message} Nothing was saved, and what you typed is still here.`), button);
    button.focus();
  }
}
