// @ts-check
// The Shows page: all shows and classes, or the show that the link names.

import { setTitle, startFrame } from '../frame/frame.js';
import { Problem } from '../lib/api.js';
import { byId } from '../lib/dom.js';
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
(id ? oneShow(id) : allShows()).then(toAnchor, showProblem);

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

/** The place a link points at exists only now. */
function toAnchor() {
  if (location.hash) document.getElementById(location.hash.slice(1))?.scrollIntoView();
}

/** @param {unknown} error */
function showProblem(error) {
  const place = byId('whole-page', HTMLParagraphElement);
  place.hidden = false;
  place.textContent = error instanceof Problem ? error.message : `Something went wrong: ${error}`;
}
