// @ts-check
// The code that signs a phone in: a QR code with a one-time link.

import { withKey } from '../account/key.js';
import { Problem, request } from '../lib/api.js';
import { timeWords } from '../lib/dates.js';
import { el } from '../lib/dom.js';

/** @typedef {{link: string, expires_at: string, qr: {modules: number, path: string}}} SignInLink */

const SVG = 'http://www.w3.org/2000/svg';

/**
 * Makes a link for a key. Where the program does not know its address from outside, says so.
 * @param {{id: string, name: string}} key
 * @returns {Promise<(Node|string)[]>}
 */
export async function phoneCode({ id, name }) {
  try {
    const { data } = /** @type {{data: SignInLink}} */ (
      await withKey(() => request('POST', `/v1/keys/${encodeURIComponent(id)}/link`)));
    return shown(data, name);
  } catch (error) {
    if (!(error instanceof Problem) || error.status !== 409) throw error;
    return [el('p', { class: 'hint' }, 'No code for a phone: the program was not told at which address phones can reach it. Start it with ',
      el('code', {}, '--public-url'), '.')];
  }
}

/** @param {SignInLink} made @param {string} name @returns {Node[]} */
function shown({ link, expires_at: expires, qr }, name) {
  const until = new Date(expires);
  const status = el('span', { role: 'status' });
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(link);
      status.textContent = 'Copied.';
    } catch { // no HTTPS, or not allowed
      status.textContent = 'This browser does not copy by itself.';
    }
  };
  const code = el('div', { class: 'phone-code' }, drawing(qr, `Code that signs a phone in as ${name}`),
    el('div', {}, el('p', {}, el('strong', {}, 'Point the phone’s camera at the code. '),
      `It signs one phone in, once, until ${timeWords(until)}.`),
    el('div', { class: 'actions' }, el('button', { type: 'button', onclick: copy }, 'Copy the link instead'), status)));
  setTimeout(() => code.replaceChildren(el('p', {}, 'The time of this code is over. Show another from the list.')),
    Math.max(0, until.getTime() - Date.now()));
  return [code];
}

/** @param {SignInLink['qr']} qr @param {string} label */
function drawing({ modules, path }, label) {
  const part = (/** @type {string} */ tag, /** @type {Record<string, string>} */ attributes) => {
    const element = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    return element;
  };
  const svg = part('svg', { viewBox: `0 0 ${modules} ${modules}`, class: 'qr', role: 'img', 'aria-label': label,
    'shape-rendering': 'crispEdges' });
  svg.append(part('rect', { width: `${modules}`, height: `${modules}`, fill: '#fff' }), part('path', { fill: '#000', d: path }));
  return svg;
}
