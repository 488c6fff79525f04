// @ts-check
// Drawings from the server.

import { address } from './api.js';
import { el } from './dom.js';

const USUAL_WIDTH = 720; // in units of the drawing; most are 480 high

/**
 * A drawing from the server, light or dark by the reader's preference. A wider one keeps at least half its own width, so that its
 * letters are 12 px or more, and scrolls.
 * @param {string} path
 * @param {Record<string, string|number>} query
 * @param {string} alt
 * @param {unknown} [shows]  the data of the drawing: when it has changed, the drawing is fetched again
 */
export function picture(path, query, alt, shows) {
  const edition = editionOf(path, shows);
  // Within a page the browser fetches an image address once. Trailing empty parameters change the address and are ignored by the API.
  const source = (/** @type {string} */ theme) => address(path, { ...query, theme }) + '&'.repeat(edition);
  const image = el('img', { src: source('light'), alt, class: 'drawing', width: USUAL_WIDTH, height: 480 }); // reserves the space
  const figure = el('figure', {}, el('picture', {},
    el('source', { srcset: source('dark'), media: '(prefers-color-scheme: dark)' }), image),
    // For print, always light. It must be loaded beforehand.
    el('img', { src: source('light'), alt: '', class: 'drawing on-paper' }));
  image.addEventListener('load', () => {
    if (image.naturalWidth <= USUAL_WIDTH) return;
    image.classList.add('wide');
    image.style.minWidth = `${image.naturalWidth / 2}px`;
    figure.classList.add('scroll');
    const attributes = { role: 'region', tabindex: '0', 'aria-label': 'The drawing, which goes on at the side' };
    for (const [name, value] of Object.entries(attributes)) figure.setAttribute(name, value);
  });
  image.addEventListener('error', () => {
    figure.replaceChildren(el('p', { class: 'hint' }, 'The drawing could not be loaded. The numbers beside it say the same.'));
  });
  return figure;
}

/** The data shown so far, as JSON, by path. @type {Map<string, string[]>} */
const editions = new Map();

/** @param {string} path @param {unknown} shows */
function editionOf(path, shows) {
  const known = editions.get(path) ?? [];
  editions.set(path, known);
  const text = JSON.stringify(shows ?? null);
  if (!known.includes(text)) known.push(text);
  return known.indexOf(text);
}
