// @ts-check
// The page for inspections: what is due on a sled, signed with a tap, and the list of what to look at.

import { isCrew, onCrewChange } from '../account/crew.js';
import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { get, getAll, onlyLatest, Problem, request } from '../lib/api.js';
import { startSaving } from '../lib/csv.js';
import { byId, el, putInLink, putText } from '../lib/dom.js';
import { load, save } from '../lib/storage.js';
import { isolated } from '../lib/text.js';
import { foundWords, signedWords } from '../model/inspection.js';
import { onChange } from '../offline/queue.js';
import { mountQueue } from '../offline/queueview.js';
import { DueView } from './due.js';
import { ListForm } from './list.js';

/** @import { Sled } from '../model/types.js' */
/** @import { Due, Inspection, InspectionList } from '../model/inspection.js' */

const BY = 'evenpull.inspection.by';
const MAX_FOUND = 30;

startFrame();
const asked = new URLSearchParams(location.search);
let sled = asked.get('sled') ?? '';
let show = asked.get('show') ?? '';
const path = () => `/v1/sleds/${encodeURIComponent(sled)}`;
const sleds = byId('sled', HTMLSelectElement);
const by = byId('by', HTMLInputElement);
const latest = onlyLatest();
const view = new DueView({
  signer: () => by.value.trim(),
  changed: refresh,
  chosen: (id) => {
    show = id;
    putInLink({ show });
    refresh();
  },
});
const list = new ListForm(path, refresh);

by.value = load(() => localStorage, BY) ?? '';
by.addEventListener('input', () => save(() => localStorage, BY, by.value.trim() || undefined));
by.addEventListener('input', showBy);
showBy();
sleds.addEventListener('change', () => {
  sled = sleds.value;
  show = '';
  for (const part of ['open', 'due', 'signed', 'found']) byId(part, HTMLElement).hidden = true; // they are of the other sled
  putInLink({ sled, show });
  refresh();
});
mountQueue(byId('queue', HTMLDivElement));
onChange(() => { if (sled) refresh(); });
startSaving('csv', (text) => { byId('csv-status', HTMLSpanElement).textContent = text; },
  () => ({ path: `${path()}/inspections.csv`, name: `inspections-${sled}.csv` }));
const strangers = byId('strangers', HTMLDivElement);
const place = byId('view', HTMLDivElement);
onCrewChange((is) => {
  if (is) open();
  else location.reload(); // nothing of it stays on the screen
});
open();

function showBy() {
  byId('by-summary', HTMLElement).textContent = `Who looks: ${by.value.trim() || 'whose key it is'}`;
}

async function open() {
  const is = await isCrew();
  strangers.hidden = is;
  if (is) await start().catch(showPageProblem);
}

async function start() {
  const all = /** @type {Sled[]} */ (await getAll('/v1/sleds')).filter(({ retired, id }) => !retired || id === sled);
  if (all.length === 0) throw new Problem(404, 'No sleds', 'No sleds yet. Add the first one on the Fleet page.');
  const known = all.some(({ id }) => id === sled);
  if (!known && sled) putText('whole-page', `There is no sled “${sled}”.`);
  sleds.replaceChildren(!known && el('option', { value: '' }, 'Which sled?') || '',
    ...all.map(({ id, name }) => el('option', { value: id, selected: id === sled }, name)));
  if (!known) sled = '';
  place.hidden = false;
  byId('due', HTMLElement).hidden = !sled;
  if (sled) await refresh();
}

/** Loads everything of the sled. What is there without signal is shown. */
async function refresh() {
  await latest(Promise.all([
    /** @type {Promise<Due>} */ (get(`${path()}/due`, { query: { show: show || undefined } })),
    get(`${path()}/inspections`, { query: { limit: MAX_FOUND } }).catch(() => undefined),
    /** @type {Promise<{data: InspectionList, etag: string}|undefined>} */ (request('GET', `${path()}/inspection-list`)
      .catch(() => undefined)),
  ]).catch((error) => {
    showPageProblem(error);
    throw error;
  }), ([due, found, document]) => {
    putText('whole-page', '');
    byId('due', HTMLElement).hidden = false;
    setTitle(`${isolated(due.sled_name)}: before the first hook`);
    byId('caution', HTMLParagraphElement).textContent = due.caution;
    view.show(due);
    showFound(/** @type {{items: Inspection[]}|undefined} */ (found)?.items ?? []);
    if (document) list.show(document.data, document.etag);
  });
}

/** @param {Inspection[]} items */
function showFound(items) {
  byId('found', HTMLElement).hidden = items.length === 0;
  byId('found-list', HTMLUListElement).replaceChildren(...items.map((one) =>
    el('li', {}, el('strong', {}, one.what), `: ${foundWords(one)} `, el('small', {}, signedWords(one)))));
}
