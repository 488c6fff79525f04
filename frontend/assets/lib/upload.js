// @ts-check
// Sends a file and reports the progress, which fetch cannot do for uploads.

import { Problem, problemFrom } from './api.js';

/**
 * @param {string} path
 * @param {Blob} file
 * @param {object} options
 * @param {string} options.type  of the file
 * @param {string} options.unreached  the message when the server is not reached
 * @param {(share: number) => void} options.progress  0 to 1; 1 when all of it is sent
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
