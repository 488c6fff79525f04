// @ts-check
// What is said of a stored reading: that it is set aside, that it counts though it stands out, or what it should have been.

import { get, request, Sending } from '../lib/api.js';
import { withKey } from './key.js';

const mending = new Sending();

/** @param {string} id */
const pathOf = (id) => `/v1/readings/${encodeURIComponent(id)}`;

/**
 * Sets a reading aside, or brings it back; or says whether it counts though it stands out.
 * @param {string} id
 * @param {{set_aside: {reason: string}|null}|{confirmed: boolean}} body
 */
export async function patchReading(id, body) {
  await withKey(() => request('PATCH', pathOf(id), { body }));
}

/**
 * Replaces a reading by what it would be without a usual mistake.
 * @param {string} id
 * @param {{gear: string, start_ft: number, distance_ft: number}} mend
 * @returns {Promise<string>} the id of the new one
 */
export async function mendReading(id, { gear, start_ft, distance_ft }) {
  const { sled, set_aside: aside, confirmed_at: at, batch, created_at: made, id: replaces, ...noted } = await get(pathOf(id));
  const body = { ...noted, gear, start_ft, distance_ft, replaces };
  const idempotencyKey = mending.keyFor(JSON.stringify(body));
  const { data } = /** @type {{data: {id: string}}} */ (
    await withKey(() => request('POST', `/v1/sleds/${encodeURIComponent(sled)}/readings`, { body, idempotencyKey })));
  mending.finished();
  return data.id;
}
