// @ts-check
// The Shows page: all shows and classes, or the show named in the link.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { byId, scrollToHash } from '../lib/dom.js';

/** @import { Units } from '../lib/units.js' */
/** @import { Part, ShowPage } from './show/page.js' */

/** @type {(units: Units) => void} */
let unitsChanged = () => {};
let units = startFrame((chosen) => {
  units = chosen;
  unitsChanged(chosen);
});

/**
 * The parts of one show's page; each loads its own modules only.
 * @type {Record<string, () => Promise<new (page: ShowPage) => Part>>}
 */
const PARTS = {
  sheet: async () => (await import('./show/sheetpart.js')).SheetPart,
  run: async () => (await import('./show/runpart.js')).RunPart,
  book: async () => (await import('./show/bookpart.js')).BookPart,
  settings: async () => (await import('./show/settingspart.js')).SettingsPart,
};

const here = new URLSearchParams(location.search);
const id = here.get('show');
(id ? oneShow(id) : allShows()).then(scrollToHash, showPageProblem);

async function allShows() {
  setTitle('Shows');
  const { showShows } = await import('./list.js');
  const before = units;
  follow(await showShows(before), before);
}

/**
 * Shows the page in other units from here on, and in those that were chosen while it was loaded.
 * @param {typeof unitsChanged} show
 * @param {Units} before
 */
function follow(show, before) {
  unitsChanged = show;
  if (units !== before) show(units);
}

/** @param {string} show */
async function oneShow(show) {
  const part = here.get('part') ?? '';
  const name = Object.hasOwn(PARTS, part) ? part : 'sheet';
  const [{ ShowPage }, Part] = await Promise.all([import('./show/page.js'), PARTS[name]()]);
  const page = new ShowPage(show, units, name, Part);
  await page.load();
  byId('show-view', HTMLDivElement).hidden = false;
  follow((chosen) => page.setUnits(chosen), page.units);
}
