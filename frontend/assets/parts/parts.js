// @ts-check
// The Parts page of one sled: its parts, what they predict, their changes, its test days.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { address, get, getAll, Problem, request } from '../lib/api.js';
import { byId, scrollToHash } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { AsOf } from './asof.js';
import { ChangeForm } from './changes.js';
import { showDays } from './days.js';
import { PartsForm } from './form.js';
import { showGeared } from './geared.js';
import { showTimeline } from './timeline.js';

/** @import { Reading } from '../model/types.js' */
/** @import { PartsData, PartsSled } from './types.js' */

const link = new URLSearchParams(location.search);
const id = link.get('sled') ?? '';
const path = `/v1/sleds/${encodeURIComponent(id)}`;
/** @type {PartsData|undefined} */
let known;
let units = startFrame((chosen) => {
  units = chosen;
  for (const part of [form, change, asOf]) part.setUnits(chosen);
  show();
});

const form = new PartsForm(path, units, load);
const change = new ChangeForm(path, units, load);
const asOf = new AsOf(path, units);
start().catch(showPageProblem);

async function start() {
  setTitle('Parts');
  if (!id) throw new Problem(404, 'No sled', 'Which sled? Open this page from a sled under Fleet.');
  await load();
  const day = link.get('as_of');
  if (day) await asOf.ask(day);
  else scrollToHash();
}

/** Loads the sled and everything that depends on its parts. */
async function load() {
  const [{ data: sled, etag }, geared, chart, days, changes, readings] = await Promise.all([
    /** @type {Promise<{data: PartsSled, etag: string}>} */ (request('GET', path)),
    /** @type {Promise<PartsData['geared']>} */ (get(`${path}/driveline`)),
    /** @type {Promise<PartsData['chart']>} */ (get(`${path}/chart`, { query: { start_ft: 0 } })),
    /** @type {Promise<PartsData['days']>} */ (get(`${path}/days`)),
    /** @type {Promise<{items: PartsData['changes']}>} */ (get(`${path}/changes`)),
    /** @type {Promise<Reading[]>} */ (getAll(`${path}/readings`)),
  ]);
  known = { sled, etag, geared, chart, days, changes: changes.items, readings };
  form.show(sled, etag);
  change.show(sled);
  show();
  byId('view', HTMLDivElement).hidden = false;
  await asOf.renew(sled);
}

/** Shows the loaded data in the current units. */
function show() {
  if (!known) return;
  const { sled } = known;
  setTitle(`Parts of ${isolated(sled.name)}`);
  byId('heading', HTMLHeadingElement).textContent = `Parts of ${isolated(sled.name)}${sled.retired ? ' (retired)' : ''}`;
  const back = byId('back', HTMLAnchorElement);
  back.href = address('/fleet', { sled: id });
  back.textContent = `${isolated(sled.name)}: chart and readings`;
  byId('to-what-if', HTMLAnchorElement).href = address('/what-if', { sled: id, units });
  showGeared(known, units);
  showDays(known, units);
  showTimeline(known, units, { path, changed: load, asOf: (day) => { asOf.ask(day); } });
}
