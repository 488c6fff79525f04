// @ts-check
// Downloads of CSV from the API.

import { get, messageOf } from './api.js';
import { byId, download } from './dom.js';

/** @import { Options } from './api.js' */

/**
 * @param {string} button  its id
 * @param {(text: string) => void} say  shows an error; called with an empty text at first
 * @param {() => {path: string, query?: Options['query'], name: string}} what
 */
export function startSaving(button, say, what) {
  byId(button, HTMLButtonElement).addEventListener('click', async () => {
    say('');
    try {
      const { path, query, name } = what();
      download(name, /** @type {string} */ (await get(path, { query })), 'text/csv');
    } catch (error) {
      say(messageOf(error));
    }
  });
}
