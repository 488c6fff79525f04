// @ts-check
// Shares a link: by the device's share dialog, else the clipboard, else a field to copy from. Shares a file by that dialog.

import { el } from './dom.js';

/** @param {string} link @param {string} text */
export function shareButton(link, text) {
  const status = el('span', { role: 'status' });
  const button = el('button', { type: 'button' }, 'Send this answer as a link');
  const place = el('p', { class: 'share' }, button, ' ', status);
  button.addEventListener('click', async () => {
    if (await shareLink(link, text)) return;
    if (await copyLink(link)) {
      status.textContent = 'The link is copied.';
      return;
    }
    const field = el('input', { type: 'text', readonly: true, value: link, 'aria-label': 'The link' });
    place.replaceChildren(button, ' ', status, field);
    status.textContent = 'Copy the link from here:';
    field.focus();
    field.select();
  });
  return place;
}

/** @param {string} link @param {string} text */
async function shareLink(link, text) {
  if (!navigator.share) return false;
  try {
    await navigator.share({ title: document.title, text, url: link });
    return true;
  } catch (error) {
    return error instanceof DOMException && error.name === 'AbortError'; // canceled by the person
  }
}

/** @param {string} link */
async function copyLink(link) {
  try {
    await navigator.clipboard.writeText(link);
    return true;
  } catch {
    return false; // no HTTPS, or not allowed
  }
}

/** Whether the device's share dialog takes a file. @param {File} file */
export function canShare(file) {
  return typeof navigator.share === 'function' && navigator.canShare?.({ files: [file] }) === true;
}

/** @param {File} file @returns {Promise<'sent'|'canceled'|'too-late'|'failed'>} */
export async function shareFile(file) {
  try {
    await navigator.share({ files: [file] });
    return 'sent';
  } catch (error) {
    const name = error instanceof DOMException ? error.name : '';
    if (name === 'AbortError') return 'canceled';
    return name === 'NotAllowedError' && !navigator.userActivation?.isActive ? 'too-late' : 'failed';
  }
}
