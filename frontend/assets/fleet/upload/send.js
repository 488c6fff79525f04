// @ts-check
// Sends a spreadsheet with a measure of how far it has got: fetch cannot tell that of what it uploads.

import { address, Problem, problemFrom } from '../../lib/api.js';

/**
 * @param {Blob} csv
 * @param {{dryRun: boolean, idempotencyKey?: string, progress: (share: number) => void, signal?: AbortSignal}} options
 *   progress: 0 to 1 while it is sent, more than 1 once all of it has arrived
 * @returns {Promise<{accepted: number}>}
 * @throws {Problem}
 */
export function sendReadings(csv, { dryRun, idempotencyKey, progress, signal }) {
  return new Promise((resolve, reject) => {
    const sending = new XMLHttpRequest();
    sending.open('POST', address('/v1/readings', dryRun ? { dry_run: true } : {}));
    sending.setRequestHeader('Content-Type', 'text/csv');
    sending.setRequestHeader('Accept', 'application/json');
    if (idempotencyKey) sending.setRequestHeader('Idempotency-Key', idempotencyKey);
    sending.upload.addEventListener('progress', ({ loaded, total }) => progress(total > 0 ? loaded / total : 0));
    sending.upload.addEventListener('load', () => progress(2));
    sending.addEventListener('load', async () => {
      if (sending.status >= 200 && sending.status < 300) resolve(JSON.parse(sending.responseText));
      else reject(await problemFrom(new Response(sending.responseText, { status: sending.status })));
    });
    sending.addEventListener('error', () => reject(new Problem(0, 'No connection',
      `The server could not be reached${dryRun ? '' : ', or its answer did not come back'}. The file is still here: try again when there is signal. What was kept already is not kept twice.`)));
    sending.addEventListener('abort', () => reject(signal?.reason));
    signal?.addEventListener('abort', () => sending.abort());
    sending.send(csv);
  });
}
