// @ts-check
// Footnotes of what is printed.

import { byId, el } from '../lib/dom.js';
import { sentence } from '../lib/text.js';

/** Footnotes: each text once, for any number of rows. */
export class Footnotes {
  /** @type {string[]} */
  #texts = [];

  /** The mark of a footnote. @param {string} text */
  mark(text) {
    if (!this.#texts.includes(text)) this.#texts.push(text);
    return el('sup', { 'aria-label': `note ${this.#texts.indexOf(text) + 1}` }, String(this.#texts.indexOf(text) + 1));
  }

  /** Puts them in the page's list. */
  show() {
    byId('footnotes', HTMLOListElement).replaceChildren(...this.#texts.map((text) => el('li', {}, sentence(text))));
  }
}
