// @ts-check
// The contract's schemas in words.

import { el } from '../lib/dom.js';

/**
 * @typedef {object} Schema
 * @property {string} [$ref]
 * @property {string} [type]
 * @property {string} [format]
 * @property {string} [description]
 * @property {unknown} [example]
 * @property {unknown} [default]
 * @property {unknown[]} [enum]
 * @property {boolean} [nullable]
 * @property {number} [minimum]
 * @property {number} [maximum]
 * @property {boolean} [exclusiveMinimum]
 * @property {boolean} [exclusiveMaximum]
 * @property {number} [minLength]
 * @property {number} [maxLength]
 * @property {number} [maxItems]
 * @property {Schema} [items]
 * @property {Record<string, Schema>} [properties]
 * @property {string[]} [required]
 * @property {Schema|boolean} [additionalProperties]
 * @property {Schema[]} [allOf]
 * @property {Schema[]} [oneOf]
 * @property {Schema[]} [anyOf]
 */

/** The last part of a reference. @param {string} ref */
export function refName(ref) {
  return ref.slice(ref.lastIndexOf('/') + 1);
}

/** The type of a value, with a link to its schema if it has a name. @param {Schema} schema @returns {(Node|string)[]} */
export function typeWords(schema) {
  if (schema.$ref) return [el('a', { href: `#schema-${refName(schema.$ref)}` }, refName(schema.$ref))];
  const several = schema.oneOf ?? schema.anyOf ?? schema.allOf;
  if (several) {
    const between = schema.allOf ? ' with ' : ' or ';
    return [...several.flatMap((of, place) => [place > 0 ? between : '', ...typeWords(of)]), nullWords(schema)];
  }
  if (schema.type === 'array' && schema.items) {
    return ['list of ', ...typeWords(schema.items), schema.maxItems ? `, up to ${schema.maxItems}` : '', nullWords(schema)];
  }
  if (schema.enum) return [schema.enum.map((value) => JSON.stringify(value)).join(' or '), defaultWords(schema), nullWords(schema)];
  const format = schema.format && schema.format !== 'double' ? ` (${schema.format})` : '';
  return [`${schema.type ?? 'any JSON'}${format}${limitWords(schema)}`, defaultWords(schema), nullWords(schema)];
}

/** @param {Schema} schema */
function limitWords({ minimum, maximum, exclusiveMinimum: above, exclusiveMaximum: below, maxLength }) {
  return [
    minimum !== undefined && `${above ? 'above' : 'from'} ${minimum}`,
    maximum !== undefined && `${below ? 'below' : 'to'} ${maximum}`,
    maxLength !== undefined && `up to ${maxLength} characters`,
  ].filter(Boolean).map((text) => `, ${text}`).join('');
}

/** @param {Schema} schema */
function defaultWords(schema) {
  return schema.default === undefined ? '' : `, ${JSON.stringify(schema.default)} when absent`;
}

/** @param {Schema} schema */
function nullWords({ nullable }) {
  return nullable ? ', or null' : '';
}

/**
 * The fields of a schema. Nested fields have names with dots.
 * @param {Schema} schema
 * @param {string} [before]
 * @returns {{field: string, required: boolean, schema: Schema}[]}
 */
export function fieldRows(schema, before = '') {
  return Object.entries(schema.properties ?? {}).flatMap(([name, of]) => {
    const field = before + name;
    const inside = of.properties ? of : of.items?.properties ? of.items : undefined;
    return [
      { field, required: schema.required?.includes(name) ?? false, schema: of },
      ...inside ? fieldRows(inside, `${field}${inside === of ? '' : '[]'}.`) : [],
    ];
  });
}
