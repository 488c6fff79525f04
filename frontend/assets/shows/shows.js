// @ts-check
// The Shows page: all shows and classes, or the show named in the link.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { byId, scrollToHash } from '../lib/dom.js';
import { showShows } from './list.js';
import { ShowPage } from './page.js';

/** @import { Units } from '../lib/units.js' */

/** @type {(units: Units) => void} */
let unitsChanged = () => {};
let units = startFrame((chosen) => {
  units = chosen;
  unitsChanged(chosen);
});

const id = new URLSearchParams(location.search).get('show');
(id ? oneShow(id) : allShows()).then(scrollToHash, showPageProblem);

async function allShows() {
  setTitle('Shows');
  const list = await showShows(units);
  byId('list-view', HTMLDivElement).hidden = false;
  unitsChanged = list;
}

/** @param {string} show */
async function oneShow(show) {
  const page = new ShowPage(show, units);
  await page.load();
  byId('show-view', HTMLDivElement).hidden = false;
  unitsChanged = (chosen) => page.setUnits(chosen);
}
