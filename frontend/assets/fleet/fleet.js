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
  const [{ startAddForm }, { showSleds }] = await Promise.all([import('./add.js'), import('./list.js')]);
  let list = await showSleds(units);
  byId('list-view', HTMLDivElement).hidden = false;
  const adding = startAddForm(units);
  if (location.hash === '#add') byId('add-name', HTMLInputElement).focus();
  unitsChanged = (chosen) => {
    list(chosen);
    adding(chosen);
  };
  const again = async () => { list = await showSleds(currentUnits()); };
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
}
