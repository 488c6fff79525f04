// @ts-check
// The fence sheet: tonight's settings in large print, with a link for phones.

import { byId, el } from '../lib/dom.js';
import { isolated } from '../lib/text.js';
import { showCode } from '../model/qr.js';
import { topsOut, tossUp } from '../model/showwords.js';
import { startWords } from '../model/words.js';
import { nameClass, paperTable, startPaper } from './paper.js';

/** @import { Units } from '../lib/units.js' */
/** @import { SheetRow } from '../model/showtypes.js' */

startPaper('Fence sheet', (sheet, show, units) => {
  byId('body', HTMLDivElement).replaceChildren(
    ...paperTable(`Tonight’s settings on ${isolated(sheet.sled_name)}`, ['Class', 'Gear', 'Start', 'Tops out about'],
      sheet.rows.map((row) => rowOf(row, units))));
  showCode(show, el('strong', {}, 'Used to another sled? '), 'Point your phone here and ask what your gear is tonight: ');
});

/** @param {SheetRow} row @param {Units} units */
function rowOf(row, units) {
  const { nearest } = row.tonight;
  const name = el('th', { scope: 'row', class: nameClass(row.name) }, row.name);
  if (!nearest) return el('tr', {}, name, el('td', { colspan: 3 }, 'ask the sled operator'));
  const doubt = nearest.out_of_reach ? 'no gear comes near what this class is used to' : tossUp(row.tonight);
  return el('tr', {}, name, el('td', {}, el('strong', { class: 'gear' }, nearest.gear), doubt && el('small', {}, doubt)),
    el('td', { class: 'start' }, startWords(nearest.start_ft, units)),
    el('td', { class: 'far' }, topsOut(row.tonight, units)));
}
