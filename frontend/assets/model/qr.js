// @ts-check
// The QR code of a show's page for pullers.

import { byId, el } from '../lib/dom.js';

/** @import { Show } from './showtypes.js' */

/** Shows the code, with a text before its link. @param {Show} show @param {...(Node|string)} text */
export function showCode(show, ...text) {
  const src = `/v1/shows/${encodeURIComponent(show.id)}/qr.svg`;
  byId('qr', HTMLDivElement).replaceChildren(...(show.pullers_url
    ? [el('img', { class: 'qr', src, alt: 'QR code of the link beside it', width: 240, height: 240 }),
      el('p', {}, ...text, el('span', { class: 'link' }, show.pullers_url))]
    : [el('p', { class: 'notice screen' }, 'No QR code: the program was not told at which address phones can reach it. Start it with ',
      el('code', {}, '--public-url'), '.')]));
}
