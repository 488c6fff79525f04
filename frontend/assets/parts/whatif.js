// @ts-check
// What if: other parts on a sled, and the room its box needs past the cut-off.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { address, getAll, Problem } from '../lib/api.js';
import { byId, scrollToHash } from '../lib/dom.js';
import { CutoffForm } from './cutoff.js';
import { OptionsForm } from './options.js';

/** @import { PartsSled } from './types.js' */

const link = new URLSearchParams(location.search);
const id = link.get('sled') ?? '';
const units = startFrame((chosen) => {
  cutoff.setUnits(chosen);
  options.setUnits(chosen);
});
const cutoff = new CutoffForm(`/v1/sleds/${encodeURIComponent(id)}`, units);
const options = new OptionsForm(units);
start().catch(showPageProblem);

async function start() {
  setTitle('What if');
  const sleds = await /** @type {Promise<PartsSled[]>} */ (getAll('/v1/sleds'));
  const sled = sleds.find((one) => one.id === id);
  if (!sled) throw new Problem(404, 'No sled', id ? `There is no sled “${id}”.` : 'Which sled? Open this page from a sled under Fleet.');
  setTitle(`What if: ${sled.name}`);
  byId('heading', HTMLHeadingElement).textContent = `What if, on ${sled.name}?`;
  const back = byId('back', HTMLAnchorElement);
  back.href = address('/fleet', { sled: id });
  back.textContent = `${sled.name}: chart and readings`;
  byId('to-parts', HTMLAnchorElement).href = address('/parts', { sled: id });
  options.show(sled);
  options.offer(sleds.filter((one) => one.id !== id && !one.retired), link);
  byId('view', HTMLDivElement).hidden = false;
  scrollToHash();
}
