// @ts-check
// Sends the CSV of an upload.

import { address } from '../../lib/api.js';
import { upload } from '../../lib/upload.js';

/**
 * @param {Blob} csv
 * @param {{dryRun: boolean, idempotencyKey?: string, progress: (share: number) => void, signal?: AbortSignal}} options
 *   progress: 0 to 1 while it is sent, 1 once all of it has arrived
 * @returns {Promise<{accepted: number}>}
 * @throws {Problem}
 */
export function sendReadings(csv, { dryRun, idempotencyKey, progress, signal }) {
  return upload(address('/v1/readings', dryRun ? { dry_run: true } : {}), csv, {
    type: 'text/csv', idempotencyKey, progress, signal,
    unreached: `The server could not be reached${dryRun ? '' : ', or its answer did not come back'}. ` +
      'The file is still here: try again when there is signal. What was kept already is not kept twice.',
  });
}
