// @ts-check
// A drawing from the server.

import { address } from './api.js';
import { el } from './dom.js';

const USUAL_WIDTH = 720; // units of a drawing, most of which are 480 high

/**
 * A drawing from the server, light or dark as the reader has it. One that is wider than usual is shown at half its own width or
 * more, with letters of 12 px or more, and scrolls where that is too wide.
 * @param {string} path
 * @param {Record<string, string|number>} query
 * @param {string} alt
 * @param {unknown} [shows]  what the drawing is of: where that has changed, a drawing that the page has shown before is fetched again
 */
export function picture(path, query, alt, shows) {
  const edition = editionOf(path, shows);
  // Within one page a browser never asks twice for a picture of the same address, whatever has changed on the
  // server. Empty parameters at the end make it another address and mean nothing to the API.
  const source = (/** @type {string} */ theme) => address(path, { ...query, theme }) + '&'.repeat(edition);
  const image = el('img', { src: source('light'), alt, class: 'drawing', width: USUAL_WIDTH, height: 480 }); // room until it comes
  const figure = el('figure', {}, el('picture', {},
    el('source', { srcset: source('dark'), media: '(prefers-color-scheme: dark)' }), image),
    // Paper is always light, and what is printed has to be there beforehand.
    el('img', { src: source('light'), alt: '', class: 'drawing on-paper' }));
  image.addEventListener('load', () => {
    if (image.naturalWidth <= USUAL_WIDTH) return;
    image.classList.add('wide');
    image.style.minWidth = `${image.naturalWidth / 2}px`;
    figure.classList.add('scroll');
    for (const [name, value] of [['role', 'region'], ['tabindex', '0'], ['aria-label', 'The drawing, which goes on at the side']]) figure.setAttribute(name, value);
  });
  image.addEventListener('error', () => {
    figure.replaceChildren(el('p', { class: 'hint' }, 'The drawing could not be loaded. The numbers beside it say the same.'));
  });
  return figure;
}

/** What each drawing of this page has shown so far, as text, by its path. @type {Map<string, string[]>} */
const editions = new Map();

/** @param {string} path @param {unknown} shows */
function editionOf(path, shows) {
  const known = editions.get(path) ?? [];
  editions.set(path, known);
  const text = JSON.stringify(shows ?? null);
  if (!known.includes(text)) known.push(text);
  return known.indexOf(text);
}
