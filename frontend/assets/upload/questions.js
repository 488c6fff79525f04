// @ts-check
// What is asked about an upload before it is stored, and taking it back as one afterwards.

import { withKey } from '../account/key.js';
import { request } from '../lib/api.js';
import { chosenIn, el, radios } from '../lib/dom.js';
import { attempt } from '../lib/forms.js';
import { counted } from '../lib/text.js';
import { sledLinks } from './preview.js';

/** @import { Settings, Upload } from './upload.js' */

/**
 * The codes of the API, each with its question and answers.
 * @type {Record<string, {ask: string, answers: {value: string, label: string}[]}>}
 */
const QUESTIONS = {
  repeated: { ask: 'Some rows are stored already. What becomes of them?',
    answers: [{ value: 'skip', label: 'Leave them out' }, { value: 'keep', label: 'Keep them a second time' }] },
  unlikely: { ask: 'Some rows are unlikely. Are they right?',
    answers: [{ value: '', label: 'Correct them in the file' }, { value: 'keep', label: 'Keep them' }] },
};

/** @param {Upload} it @param {(said: Partial<Settings>) => void} again */
export function questions({ codes, settings }, again) {
  return Object.entries(QUESTIONS).filter(([code]) => codes.includes(code)).map(([code, { ask, answers }]) => {
    const name = /** @type {'repeated'|'unlikely'} */ (code);
    const choices = el('fieldset', { class: 'field', onchange: () => again({ [name]: chosenIn(choices) || undefined }) },
      el('legend', {}, ask), el('div', { class: 'choices' }, ...radios(`import-${name}`, answers, settings[name] ?? '')));
    return el('div', { class: 'notice', id: `import-${name}` }, choices);
  });
}

/**
 * What was stored, with a button to take it back.
 * @param {Upload} it
 * @param {{accepted: number, batch?: string}} stored
 * @param {() => void} changed
 */
export function storedNotice(it, { accepted, batch }, changed) {
  const rows = counted(accepted, it.kind.one);
  const words = el('strong', { role: 'status' });
  const problem = el('p', { class: 'fault', role: 'alert', hidden: true });
  let isBack = false;
  const button = el('button', { type: 'button', id: 'import-back', onclick: () => attempt(problem, async () => {
    const aside = isBack ? null : { reason: 'its import was taken back' };
    await withKey(() => request('PATCH', `/v1/batches/${encodeURIComponent(batch ?? '')}`, { body: { set_aside: aside } }));
    isBack = !isBack;
    show();
    changed();
  }) });
  const show = () => {
    words.textContent = `${rows} of ${it.file.name} ${isBack ? 'taken back: set aside, and in no chart.' : 'stored.'}`;
    button.textContent = isBack ? 'Bring the import back' : 'Take the import back';
  };
  show();
  return el('div', { class: 'notice', id: 'import-stored', tabindex: '-1' },
    el('p', {}, words), sledLinks(it.kind, it.understood, it.sleds), batch && el('p', {}, button), problem);
}
