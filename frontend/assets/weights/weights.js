// @ts-check
// The Weights page of one sled: the load on its pan, its weighings, and what else is known of its loading.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { address, getAll, Problem, request } from '../lib/api.js';
import { startSaving } from '../lib/csv.js';
import { byId, scrollToHash } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { LoadSection } from './load.js';
import { LoadingForm } from './loading.js';
import { WeighForm } from './weigh.js';
import { WeighingList } from './weighings.js';

/** @import { Sled } from '../model/types.js' */
/** @import { Weighing } from './types.js' */

const id = new URLSearchParams(location.search).get('sled') ?? '';
const path = `/v1/sleds/${encodeURIComponent(id)}`;
const units = startFrame((chosen) => parts.forEach((part) => part.setUnits(chosen)));
const list = new WeighingList(units, load);
const onPan = new LoadSection(path, units, list);
const loading = new LoadingForm(path, units, load);
const parts = [list, onPan, loading, new WeighForm(path, units, load)];

const status = byId('weighings-status', HTMLSpanElement);
startSaving('weighings-csv', (text) => { status.textContent = text; },
  () => ({ path: `${path}/weighings.csv`, name: `weighings-${id}.csv` }));
start().catch(showPageProblem);

async function start() {
  setTitle('Weights');
  if (!id) throw new Problem(404, 'No sled', 'Which sled? Open this page from a sled under Fleet.');
  await load();
  byId('view', HTMLDivElement).hidden = false;
  scrollToHash();
  const { startWeighingUpload } = await import('./upload.js'); // not needed to see the weights
  startWeighingUpload(id, load);
}

/** Loads the sled, its weighings and what follows from them. */
async function load() {
  const [{ data: sled, etag }, weighings] = await Promise.all([
    /** @type {Promise<{data: Sled, etag: string}>} */ (request('GET', path)),
    /** @type {Promise<Weighing[]>} */ (getAll(`${path}/weighings`)),
  ]);
  setTitle(`Weights of ${isolated(sled.name)}`);
  byId('heading', HTMLHeadingElement).textContent = `Weights of ${isolated(sled.name)}${sled.retired ? ' (retired)' : ''}`;
  const back = byId('back', HTMLAnchorElement);
  back.href = address('/fleet', { sled: id });
  back.textContent = `${isolated(sled.name)}: chart and readings`;
  byId('weigh', HTMLElement).hidden = sled.retired;
  loading.show(sled, etag);
  const { weighings_from: from } = await onPan.show(sled, weighings);
  list.show(weighings, from);
}
