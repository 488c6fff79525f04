// @ts-check
// The API page, built from the contract.

import { showPageProblem, startFrame } from '../frame/frame.js';
import { get } from '../lib/api.js';
import { byId, el, table } from '../lib/dom.js';
import { capitalized } from '../lib/text.js';
import { fieldRows, refName, typeWords } from './schema.js';
import { tryForm } from './try.js';

/** @import { Schema } from './schema.js' */

/**
 * @typedef {object} Parameter
 * @property {string} name
 * @property {'path'|'query'|'header'|'cookie'} in
 * @property {boolean} [required]
 * @property {string} [description]
 * @property {unknown} [example]
 * @property {Schema} schema
 */
/** @typedef {{description?: string, content?: Record<string, {schema?: Schema}>}} Body */
/**
 * @typedef {object} Operation
 * @property {string[]} [tags]
 * @property {string} operationId
 * @property {string} [summary]
 * @property {string} [description]
 * @property {(Parameter|{$ref: string})[]} [parameters]
 * @property {Body} [requestBody]
 * @property {Record<string, Body|{$ref: string}>} responses
 * @property {string[]} [x-roles]
 */
/**
 * @typedef {object} Contract
 * @property {{title: string, description: string}} info
 * @property {{name: string, description: string}[]} tags
 * @property {Record<string, Record<string, Operation>>} paths
 * @property {{schemas: Record<string, Schema>, parameters: Record<string, Parameter>, responses: Record<string, Body>}} components
 */

const METHODS = ['get', 'post', 'put', 'patch', 'delete'];

startFrame();
get('/openapi.json').then(show).catch(showPageProblem);

/** @param {Contract} contract */
function show(contract) {
  const about = contract.info.description.trim().split(/\n\s*\n/);
  byId('about', HTMLDivElement).replaceChildren(...about.map((text) => el('p', {}, ...coded(text))));
  const sections = contract.tags.map(({ name, description }) => el('section', { 'aria-labelledby': `tag-${name}` },
    el('h2', { id: `tag-${name}` }, capitalized(name)), el('p', {}, description), ...operationsOf(contract, name)));
  byId('operations', HTMLDivElement).replaceChildren(...sections);
  const schemas = Object.entries(contract.components.schemas);
  byId('schemas', HTMLDivElement).replaceChildren(...schemas.map(([name, schema]) => schemaPart(name, schema)));
  const contents = [...contract.tags.map(({ name }) => [`#tag-${name}`, capitalized(name)]), ['#schemas-title', 'Documents']];
  byId('contents', HTMLUListElement).replaceChildren(...contents.map(([href, text]) => el('li', {}, el('a', { href }, text))));
  open();
  addEventListener('hashchange', open);
}

/** Opens the part that the address names, and scrolls to it. */
function open() {
  const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (target instanceof HTMLDetailsElement) target.open = true;
  target?.scrollIntoView();
}

/** @param {Contract} contract @param {string} tag */
function operationsOf(contract, tag) {
  return Object.entries(contract.paths).flatMap(([path, item]) => {
    const shared = /** @type {Operation} */ (/** @type {unknown} */ (item)).parameters ?? [];
    return METHODS.filter((method) => item[method]?.tags?.includes(tag)).map((method) => {
      const parameters = [...shared, ...item[method].parameters ?? []].map((of) => parameterOf(contract, of));
      return operationPart(contract, method, path, item[method], parameters);
    });
  });
}

/** @param {Contract} contract @param {Parameter|{$ref: string}} of @returns {Parameter} */
function parameterOf(contract, of) {
  return '$ref' in of ? contract.components.parameters[refName(of.$ref)] : of;
}

/** @param {Contract} contract @param {string} method @param {string} path @param {Operation} operation @param {Parameter[]} parameters */
function operationPart(contract, method, path, operation, parameters) {
  const part = el('details', { class: 'operation', id: operation.operationId },
    el('summary', {}, el('code', {}, `${method.toUpperCase()} ${path}`), el('span', {}, operation.summary ?? '')));
  part.addEventListener('toggle', () => { // built when first opened: all of it would be thousands of rows
    if (part.open && part.children.length === 1) part.append(insideOf(contract, method, path, operation, parameters));
  });
  return part;
}

/** @param {Contract} contract @param {string} method @param {string} path @param {Operation} operation @param {Parameter[]} parameters */
function insideOf(contract, method, path, operation, parameters) {
  const roles = operation['x-roles'];
  const read = method === 'get';
  const open = read ? 'Open to all, unless the installation is private.' : 'Needs no key.';
  const access = roles ? `Needs a key or a signed-in browser of ${list(roles)}.` : open;
  return el('div', {},
    operation.description ? el('p', {}, ...coded(operation.description)) : null,
    el('p', {}, access),
    ...parameters.length === 0 ? [] : [el('h4', {}, 'Parameters'), parameterTable(operation, parameters)],
    ...operation.requestBody?.content ? [el('h4', {}, 'Body'), ...bodyParts(operation.requestBody)] : [],
    el('h4', {}, 'Answers'),
    el('ul', {}, ...Object.entries(operation.responses).map(([status, of]) => {
      const answer = '$ref' in of ? contract.components.responses[refName(of.$ref)] : of;
      return el('li', {}, el('strong', {}, status === 'default' ? 'otherwise' : status), ` ${answer.description ?? ''} `,
        ...bodyTypes(answer));
    })),
    read && !roles ? tryForm(path, parameters.filter((of) => of.in === 'path' || of.in === 'query'), contract.components.schemas) : null);
}

/** @param {Operation} operation @param {Parameter[]} parameters */
function parameterTable(operation, parameters) {
  return table(`Parameters of ${operation.operationId}`, ['Name', 'Where', 'What', 'Meaning'], parameters.map((of) => el('tr', {},
    el('th', { scope: 'row' }, el('code', {}, of.name), of.required ? el('small', {}, 'required') : null),
    el('td', {}, of.in), el('td', {}, ...typeWords(of.schema)), el('td', {}, ...coded(of.description ?? '')))), 'text');
}

/** @param {string[]} roles */
function list(roles) {
  const words = roles.map((role) => `${role === 'operator' ? 'an' : 'a'} ${role}`);
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} or ${words[words.length - 1]}`;
}

/** @param {Body} body */
function bodyParts(body) {
  return Object.entries(body.content ?? {})
    .map(([type, { schema }]) => el('p', {}, el('code', {}, type), ': ', ...schema ? typeWords(schema) : ['']));
}

/** @param {Body} answer */
function bodyTypes(answer) {
  return Object.entries(answer.content ?? {})
    .flatMap(([type, { schema }], place) => [place > 0 ? ', ' : '', el('code', {}, type), ' ', ...schema ? typeWords(schema) : []]);
}

/** @param {string} name @param {Schema} schema */
function schemaPart(name, schema) {
  const part = el('details', { class: 'schema', id: `schema-${name}` }, el('summary', {}, el('code', {}, name)));
  part.addEventListener('toggle', () => {
    if (!part.open || part.children.length > 1) return;
    const rows = fieldRows(schema);
    part.append(el('div', {},
      schema.description ? el('p', {}, ...coded(schema.description)) : null,
      rows.length > 0 ? table(`Fields of ${name}`, ['Field', 'What', 'Meaning'], rows.map(({ field, required, schema: of }) => el('tr', {},
        el('th', { scope: 'row' }, el('code', {}, field), required ? el('small', {}, 'always there') : null),
        el('td', {}, ...typeWords(of)), el('td', {}, ...coded(of.description ?? '')))), 'text') : el('p', {}, ...typeWords(schema))));
  });
  return part;
}

/** Text with the parts between backticks as code. @param {string} text */
function coded(text) {
  return text.split('`').map((piece, place) => (place % 2 === 1 ? el('code', {}, piece) : piece));
}
