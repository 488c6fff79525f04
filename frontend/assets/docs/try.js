// @ts-check
// A form that sends a request to the API and shows the response, with the same request as a curl line.

import { el } from '../lib/dom.js';
import { refName } from './schema.js';

/** @import { Parameter } from './docs.js' */
/** @import { Schema } from './schema.js' */

const SHOWN_CHARACTERS = 20_000;

/**
 * @param {string} path  as in the contract, parameters in braces
 * @param {Parameter[]} parameters
 * @param {Record<string, Schema>} schemas
 */
export function tryForm(path, parameters, schemas) {
  const answer = el('div', { 'aria-live': 'polite' });
  const fields = parameters.map((of) => ({ of, input: inputFor(of, schemas) }));
  const form = el('form', { class: 'try', novalidate: true },
    el('h4', {}, 'Try it'),
    el('div', { class: 'fields' },
      ...fields.map(({ of, input }) => el('label', {}, `${of.name}${of.required ? ' (required)' : ''}`, input))),
    el('p', {}, el('button', { class: 'primary', type: 'submit' }, 'Ask')),
    answer);
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    answer.replaceChildren(el('p', {}, 'Asking …'));
    answer.replaceChildren(...await ask(addressOf(path, fields)));
  });
  return form;
}

/** @param {Parameter} of @param {Record<string, Schema>} schemas */
function inputFor(of, schemas) {
  const schema = of.schema.$ref ? schemas[refName(of.schema.$ref)] : of.schema;
  const choices = schema.type === 'boolean' ? [true, false] : schema.enum;
  if (choices) {
    return el('select', { name: of.name }, el('option', { value: '' }, of.required ? 'pick one' : 'leave out'),
      ...choices.map((value) => el('option', { value: String(value) }, String(value))));
  }
  const item = schema.type === 'array' && schema.items ? (schema.items.$ref ? schemas[refName(schema.items.$ref)] : schema.items) : schema;
  const example = of.example ?? (of.required ? item.example : undefined);
  const value = example === undefined ? '' : String(example);
  return el('input', { name: of.name, value, autocomplete: 'off', autocapitalize: 'off', spellcheck: 'false' });
}

/** @param {string} path @param {{of: Parameter, input: HTMLInputElement|HTMLSelectElement}[]} fields */
function addressOf(path, fields) {
  let filled = path;
  const query = new URLSearchParams();
  for (const { of, input } of fields) {
    if (of.in === 'path') filled = filled.replace(`{${of.name}}`, encodeURIComponent(input.value));
    else if (input.value !== '') query.append(of.name, input.value);
  }
  return query.size > 0 ? `${filled}?${query}` : filled;
}

/** @param {string} address @returns {Promise<Node[]>} */
async function ask(address) {
  const line = el('pre', {}, `curl -s '${new URL(address, location.href)}'`);
  try {
    const response = await fetch(address);
    const type = response.headers.get('Content-Type') ?? '';
    const status = el('p', {}, el('strong', {}, `${response.status} ${response.statusText}`), ` ${type}`);
    if (response.ok && type.startsWith('image/')) {
      return [line, status,
        el('img', { src: address, alt: 'The drawing that was answered', class: address.includes('theme=dark') ? 'dark' : null })];
    }
    return [line, status, el('pre', { tabindex: '0', 'aria-label': 'The answer' }, readable(await response.text(), type))];
  } catch {
    return [line, el('p', { role: 'alert' }, 'The server could not be reached. Try again when there is signal.')];
  }
}

/** @param {string} text @param {string} type */
function readable(text, type) {
  const laid = type.includes('json') ? JSON.stringify(JSON.parse(text), null, 2) : text;
  return laid.length > SHOWN_CHARACTERS
    ? `${laid.slice(0, SHOWN_CHARACTERS)}\n… and ${laid.length - SHOWN_CHARACTERS} characters more`
    : laid;
}
