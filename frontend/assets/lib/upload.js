// @ts-check
// Sends a file with a measure of how far it has got: fetch cannot tell that of what it uploads.

import { Problem, problemFrom } from './api.js';

/**
 * @param {string} path
 * @param {Blob} file
 * @param {object} options
 * @param {string} options.type  of the file
 * @param {string} options.unreached  what to say where the server is not reached
 * @param {(share: number) => void} options.progress  0 to 1 while it is sent, 1 once all of it has arrived
 * @param {string} [options.idempotencyKey]
 * @param {AbortSignal} [options.signal]
 * @returns {Promise<any>}
 * @throws {Problem}
 */
export function upload(path, file, { type, unreached, progress, idempotencyKey, signal }) {
  return new Promise((resolve, reject) => {
    const sending = new XMLHttpRequest();
    sending.open('POST', path);
    sending.setRequestHeader('Content-Type', type);
    sending.setRequestHeader('Accept', 'application/json');
    if (idempotencyKey) sending.setRequestHeader('Idempotency-Key', idempotencyKey);
    sending.upload.addEventListener('progress', ({ loaded, total }) => { if (loaded < total) progress(loaded / total); });
    sending.upload.addEventListener('load', () => progress(1));
    sending.addEventListener('load', async () => {
      if (sending.status >= 200 && sending.status < 300) resolve(JSON.parse(sending.responseText));
      else reject(await problemFrom(new Response(sending.responseText, { status: sending.status })));
    });
    sending.addEventListener('error', () => reject(new Problem(0, 'No connection', unreached)));
    sending.addEventListener('abort', () => reject(signal?.reason));
    signal?.addEventListener('abort', () => sending.abort());
    progress(0);
    sending.send(file);
  });
}
