// @ts-check
// The page for noting readings beside the track: choice of the sled, the form, the last entries.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { address, get, getAll } from '../lib/api.js';
import { dateWords } from '../lib/dates.js';
import { byId, el, putInLink, putParts, putText } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { noted } from '../lib/units.js';
import { mountQueue } from '../offline/queueview.js';
import { Charts } from './charts.js';
import { announcement, showEntry } from './entries.js';
import { fitOf } from './fit.js';
import { NoteForm } from './form.js';
import { loadDraft, loadLast, saveDraft } from './saved.js';
import { keepInSight } from './sight.js';
import { Visit } from './visit.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Reading, Sled } from '../model/types.js' */
/** @import { Entry } from './visit.js' */

/** @type {(units: Units) => void} */
let unitsChanged = () => {};
/** Returns a refused entry to the form, once there is one. @type {(entry: Entry) => void} */
let backToForm = () => {};
let units = startFrame((chosen) => {
  units = chosen;
  visit.setUnits(chosen);
  unitsChanged(chosen);
});

const asked = new URLSearchParams(location.search);
const corrects = asked.get('correct') ?? '';
const status = byId('note-status', HTMLDivElement);
const latest = byId('note-latest', HTMLDivElement);
const entries = byId('note-entries', HTMLOListElement);
const choice = byId('note-sled', HTMLSelectElement);

const charts = new Charts();
const visit = new Visit(charts, units, showVisit);
mountQueue(byId('note-queue', HTMLDivElement));
const stand = keepInSight(latest, byId('note-stand', HTMLDivElement), byId('note-form', HTMLFormElement),
  byId('note-endings', HTMLDivElement));
showVisit(undefined);
start().catch(showPageProblem);

async function start() {
  const [sleds, found] = await Promise.all([
    /** @type {Promise<Sled[]>} */ (getAll('/v1/sleds')),
    corrects ? /** @type {Promise<Reading>} */ (get(`/v1/readings/${encodeURIComponent(corrects)}`)) : undefined,
  ]);
  /** The reading to correct. */
  let corrected = found;
  const inUse = sleds.filter(({ retired }) => !retired);
  if (inUse.length === 0) {
    putParts('whole-page', 'No sleds yet. Add the first one on the ', el('a', { href: '/fleet#add' }, 'Fleet page'),
      '; then note readings of it here.');
    return;
  }
  const wanted = corrected?.sled ?? asked.get('sled');
  const known = inUse.find(({ id }) => id === wanted) ?? (wanted ? undefined : inUse.find(({ id }) => id === loadLast()?.sled)) ??
    (inUse.length === 1 && !wanted ? inUse[0] : undefined);
  if (wanted && !known) {
    putText('whole-page', sleds.some(({ id }) => id === wanted)
      ? 'That sled is retired: no readings are noted of it. Choose another one.'
      : `There is no sled “${wanted}”. Choose one.`);
  }
  showChoice(inUse, known, corrects !== '');

  /** @type {Sled|undefined} */
  let sled;
  const form = new NoteForm(units, {
    startChanged: (startFt) => { if (sled) charts.of(sled.id).load(startFt); },
    submitted: (body) => {
      if (!sled) return;
      visit.add(sled, body);
      byId('correcting', HTMLDivElement).hidden = true;
      if (body.replaces) stopCorrecting();
    },
  }, corrects);
  /** The page returns to new readings and the earlier draft. */
  const stopCorrecting = () => {
    corrected = undefined;
    form.stopCorrecting();
    byId('correcting', HTMLDivElement).hidden = true;
    choice.disabled = false;
    putInLink({ correct: undefined });
  };
  unitsChanged = (chosen) => {
    form.setUnits(chosen);
    if (corrected) showCorrecting(corrected);
  };
  const use = (/** @type {Sled} */ chosen) => {
    sled = chosen;
    form.show(chosen);
    showSled(chosen);
    charts.of(chosen.id).load(form.startFt);
  };
  backToForm = (entry) => {
    const { sled: its, body } = entry;
    const known = inUse.find(({ id }) => id === its.id);
    if (!known) {
      putText('whole-page', `${isolated(its.name)} is retired: no readings are noted of it.`);
      byId('whole-page', HTMLParagraphElement).scrollIntoView({ block: 'nearest' });
      return;
    }
    stopCorrecting();
    if (known !== sled) use(known);
    showTakenBack(`${body.gear}, ${noted(body.distance_ft, units)}`);
    form.fill(body); // which keeps it, before it leaves the queue
    visit.withdraw(entry);
    stand();
  };
  byId('correcting-leave', HTMLAnchorElement).addEventListener('click', () => saveDraft(corrects, undefined));
  choice.addEventListener('change', () => {
    const chosen = inUse.find(({ id }) => id === choice.value);
    if (!chosen) return;
    use(chosen);
    stand();
  });
  if (!known) return;
  use(known);
  if (!corrected) {
    if (form.replaces) showTakenBack('an earlier reading');
    stand();
    return;
  }
  showCorrecting(corrected);
  if (!loadDraft(corrects)?.values.distance_ft) form.fill({ ...corrected, replaces: corrects });
  stand();
  charts.of(known.id).load(form.startFt);
}

/** @param {Sled[]} sleds @param {Sled|undefined} chosen @param {boolean} fixed */
function showChoice(sleds, chosen, fixed) {
  const nothing = chosen ? [] : [el('option', { value: '' }, 'Choose the sled …')];
  choice.replaceChildren(...nothing, ...sleds.map(({ id, name }) => el('option', { value: id, selected: id === chosen?.id }, name)));
  choice.disabled = fixed && chosen !== undefined;
  byId('sled-field', HTMLDivElement).hidden = false;
  byId('note-caution', HTMLParagraphElement).classList.remove('waiting');
}

/** @param {Sled} sled */
function showSled(sled) {
  choice.querySelector('option[value=""]')?.remove();
  choice.value = sled.id;
  setTitle(`Note readings of ${isolated(sled.name)}`);
  const link = byId('sled-link', HTMLAnchorElement);
  link.href = address('/fleet', { sled: sled.id });
  link.textContent = `${isolated(sled.name)}’s chart and readings`;
  link.hidden = false;
  putInLink({ sled: sled.id });
  byId('whole-page', HTMLParagraphElement).hidden = true;
}

/** @param {Reading} reading */
function showCorrecting(reading) {
  byId('correcting', HTMLDivElement).hidden = false;
  byId('correcting-about', HTMLParagraphElement).textContent =
    `You are correcting ${isolated(reading.gear)}, ${noted(reading.distance_ft, units)}, of ${dateWords(reading.measured_on)}. ` +
    'The earlier reading is set aside and stays in the list.';
  byId('correcting-leave', HTMLAnchorElement).hidden = false;
  byId('correcting-leave', HTMLAnchorElement).href = `${address('/fleet', { sled: reading.sled })}#readings`;
}

/** Says that what is in the form was noted, and is not yet kept. @param {string} what */
function showTakenBack(what) {
  byId('correcting', HTMLDivElement).hidden = false;
  byId('correcting-about', HTMLParagraphElement).textContent =
    `You are correcting ${what}: put it right, then tap how it ended.`;
  byId('correcting-leave', HTMLAnchorElement).hidden = true;
}

/** @param {Entry|undefined} changed */
function showVisit(changed) {
  const callbacks = {
    undo: (/** @type {Entry} */ entry) => { visit.undo(entry); },
    withdraw: (/** @type {Entry} */ entry) => { backToForm(entry); },
    keep: (/** @type {Entry} */ entry) => { visit.keep(entry); },
    mend: (/** @type {Entry} */ entry) => { visit.settle(entry, true); },
    regear: (/** @type {Entry} */ entry) => { visit.regear(entry, fitOf(entry.body, entry.prediction, units).gear ?? entry.body.gear); },
    use: (/** @type {Entry} */ entry) => { visit.settle(entry, false); },
  };
  const [first, ...earlier] = visit.entries;
  latest.hidden = first === undefined;
  if (first) showEntry(latest, first, units, callbacks);
  byId('note-visit', HTMLElement).hidden = earlier.length === 0;
  while (entries.children.length > earlier.length) entries.lastElementChild?.remove();
  while (entries.children.length < earlier.length) entries.append(el('li'));
  earlier.forEach((entry, place) => showEntry(/** @type {HTMLElement} */ (entries.children[place]), entry, units, callbacks));
  if (changed) status.textContent = announcement(changed, units);
}
