// @ts-check
// The Fleet page: all sleds, or the one named in the link; each loads its own modules only.

import { setTitle, showPageProblem, startFrame } from '../frame/frame.js';
import { byId, scrollToHash } from '../lib/dom.js';
import { currentUnits } from '../lib/units.js';

/** @import { Units } from '../lib/units.js' */

/** @type {(units: Units) => void} */
let unitsChanged = () => {};
const units = startFrame((chosen) => unitsChanged(chosen));

const id = new URLSearchParams(location.search).get('sled');
(id ? oneSled(id) : allSleds()).then(scrollToHash, showPageProblem);

async function allSleds() {
  setTitle('Fleet');
  const { showSleds } = await import('./list.js');
  let list = await showSleds();
  byId('list-view', HTMLDivElement).hidden = false;
  let adding = (/** @type {Units} */ _chosen) => {};
  unitsChanged = (chosen) => {
    list(chosen);
    adding(chosen);
  };
  const { startAddForm } = await import('./add.js'); // the list is shown first
  adding = startAddForm(currentUnits());
  if (location.hash === '#add') byId('add-name', HTMLInputElement).focus();
  const again = async () => { list = await showSleds(); };
  const { startReadingUpload } = await import('./upload.js'); // not needed for one sled
  startReadingUpload(again);
  const { startTakingIn } = await import('./takein.js');
  startTakingIn(again);
}

/** @param {string} sled */
async function oneSled(sled) {
  const { SledPage } = await import('./sled/page.js');
  const page = new SledPage(sled, units);
  await page.load();
  byId('sled-view', HTMLDivElement).hidden = false;
  unitsChanged = (chosen) => page.setUnits(chosen);
  if (currentUnits() !== units) page.setUnits(currentUnits()); // chosen while it loaded
}
