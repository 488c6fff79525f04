// @ts-check
// What if: other parts on a sled, and the room its box needs past the cut-off.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { address, get, getAll, Problem } from '../lib/api.js';
import { byId, putText, scrollToHash } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { markGuest } from '../model/guest.js';
import { CutoffForm } from './cutoff.js';
import { OptionsForm } from './options.js';

/** @import { PartsSled } from './types.js' */

const link = new URLSearchParams(location.search);
const id = link.get('sled') ?? '';
const path = `/v1/sleds/${encodeURIComponent(id)}`;
const units = startFrame((chosen) => {
  cutoff.setUnits(chosen);
  options.setUnits(chosen);
});
const cutoff = new CutoffForm(path, units);
const options = new OptionsForm(units);
start().catch(showPageProblem);

async function start() {
  setTitle('What if');
  if (!id) throw new Problem(404, 'No sled', 'Which sled? Open this page from a sled under Fleet.');
  const [sleds, { caution }] = await Promise.all([
    /** @type {Promise<PartsSled[]>} */ (getAll('/v1/sleds')),
    /** @type {Promise<{caution: string}>} */ (get(`${path}/driveline`)), // it refuses a sled that is not there
  ]);
  const sled = /** @type {PartsSled} */ (sleds.find((one) => one.id === id));
  putText('caution', caution);
  markGuest(sled);
  setTitle(`What if: ${isolated(sled.name)}`);
  byId('heading', HTMLHeadingElement).textContent = `What if, on ${isolated(sled.name)}?`;
  const back = byId('back', HTMLAnchorElement);
  back.href = address('/fleet', { sled: id });
  back.textContent = `${isolated(sled.name)}: chart and readings`;
  byId('to-parts', HTMLAnchorElement).href = address('/parts', { sled: id });
  options.show(sled);
  options.offer(sleds.filter((one) => one.id !== id && !one.retired), link);
  byId('view', HTMLDivElement).hidden = false;
  scrollToHash();
}
