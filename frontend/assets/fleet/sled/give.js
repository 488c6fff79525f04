// @ts-check
// Gives the sled to another crew: as a file, or through the share dialog of the device.

import { withKey } from '../../account/key.js';
import { request } from '../../lib/api.js';
import { today } from '../../lib/dates.js';
import { byId, download } from '../../lib/dom.js';
import { attempt } from '../../lib/forms.js';
import { canShare, shareFile } from '../../lib/share.js';

// Browsers share text, and some of them no JSON.
const SHARED = 'text/plain';

// How long a file that is ready still says what is noted, in milliseconds. An assumption of our own.
const FRESH = 60_000;

/** @param {string} id  of the sled */
export function startGiving(id) {
  const problem = byId('give-problem', HTMLParagraphElement);
  const status = byId('give-status', HTMLSpanElement);
  const send = byId('give-send', HTMLButtonElement);
  const name = (/** @type {string} */ ending) => `sled-${id}-${today()}.${ending}`;
  const document = async () => /** @type {{data: string}} */ (
    await withKey(() => request('GET', `/v1/sleds/${encodeURIComponent(id)}/export`, { text: true }))).data;
  const onPress = (/** @type {HTMLButtonElement} */ button, /** @type {() => Promise<string>} */ work) => {
    button.addEventListener('click', () => attempt(problem, async () => {
      status.textContent = '';
      button.disabled = true;
      try {
        status.textContent = await work();
      } finally {
        button.disabled = false;
      }
    }));
  };
  onPress(byId('give-save', HTMLButtonElement), async () => {
    const text = await document();
    download(name('json'), text, 'application/json');
    return 'It is saved on this device.';
  });

  // A browser shares only what follows a tap at once. Where fetching took too long, the next tap finds the file ready.
  /** @type {File|undefined} */
  let ready;
  send.hidden = !canShare(new File(['{}'], name('txt'), { type: SHARED }));
  onPress(send, async () => {
    if (!ready || Date.now() - ready.lastModified > FRESH) {
      ready = new File([await document()], name('txt'), { type: SHARED });
    }
    const outcome = await shareFile(ready);
    if (outcome === 'too-late') return 'It is ready. Press again to send it.';
    const file = ready;
    ready = undefined;
    if (outcome === 'canceled') return 'Not sent.';
    if (outcome === 'sent') return '';
    download(file.name, await file.text(), SHARED);
    return 'This device does not send it; it is saved as a file instead.';
  });
}
