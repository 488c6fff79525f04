// @ts-check
// A sled's parts: what they predict, their changes, its test days, drive cut-off and part options.

import { get, getAll, Problem, request } from './api.js';
import { byId, el } from './dom.js';
import { setTitle, startFrame } from './frame.js';
import { showChanges, startChanges } from './partschanges.js';
import { startCutoff } from './partscutoff.js';
import { showDays, showGeared } from './partsgeared.js';
import { fillParts, startParts } from './partsform.js';
import { fillReferences, startOptions } from './partsoptions.js';

/** @typedef {import('./partstypes.js').PartsSled} PartsSled */

const id = new URLSearchParams(location.search).get('sled') ?? '';
const path = `/v1/sleds/${encodeURIComponent(id)}`;
/** @type {PartsSled|undefined} */
let sled;
let etag = '';
let units = startFrame((chosen) => {
  units = chosen;
  refresh().catch(say);
});

/** @type {import('./partstypes.js').Page} */
const page = { sled: theSled, path, units: () => units, changed: load };
// Before anything is read: a form that is sent meanwhile must not reload the page.
startParts(page, () => etag);
startChanges(page);
startCutoff(page);
startOptions(page);
start().catch(say);

/** @returns {PartsSled} */
function theSled() {
  if (!sled) throw new Problem(0, 'Not ready', 'The sled is still being read. Try again in a moment.');
  return sled;
}

/** @param {unknown} error */
function say(error) {
  const place = byId('whole-page', HTMLParagraphElement);
  place.hidden = false;
  place.textContent = error instanceof Problem ? error.message : `Something went wrong: ${error}`;
}

async function start() {
  setTitle('Parts');
  if (!id) throw new Problem(404, 'No sled', 'Which sled? Open this page from a sled under Fleet.');
  const sleds = await /** @type {Promise<PartsSled[]>} */ (getAll('/v1/sleds'));
  fillReferences(sleds.filter((one) => one.id !== id && !one.retired));
  await load();
}

/** Reads the sled and everything that depends on it. */
async function load() {
  const answer = /** @type {{data: PartsSled, etag: string}} */ (await request('GET', path));
  sled = answer.data;
  etag = answer.etag;
  setTitle(`Parts of ${sled.name}`);
  byId('heading', HTMLHeadingElement).textContent = `Parts of ${sled.name}`;
  const back = byId('back', HTMLAnchorElement);
  back.href = `/fleet?sled=${encodeURIComponent(id)}`;
  back.replaceChildren(el('span', {}, sled.name));
  fillParts(sled);
  await refresh();
}

async function refresh() {
  if (!sled) return;
  const [geared, days, changes] = await Promise.all([get(`${path}/driveline`), get(`${path}/days`), get(`${path}/changes`)]);
  showGeared(/** @type {any} */ (geared), units);
  showDays(sled, /** @type {any} */ (days), units);
  showChanges(page, /** @type {any} */ (changes).items, /** @type {any} */ (days).items);
}
