// @ts-check
// Helpers for text.

/** With a capital first letter. @param {string} text */
export function capitalized(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** With a capital first letter and a period at the end. @param {string} text */
export function sentence(text) {
  const whole = capitalized(text.trim());
  return whole === '' || /[.!?]$/.test(whole) ? whole : `${whole}.`;
}

/** "1 reading" or "2 readings". @param {number} count @param {string} one @param {string} [many] */
export function counted(count, one, many = `${one}s`) {
  return `${count} ${count === 1 ? one : many}`;
}

/**
 * The name of the item with an id; the id itself when there is no such item.
 * @param {string} id
 * @param {{id: string, name: string}[]} items
 */
export function nameOf(id, items) {
  return items.find((item) => item.id === id)?.name ?? id;
}

/** Letters that are written from right to left (Hebrew, Arabic and their neighbors in Unicode). */
const RIGHT_TO_LEFT = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff\u{10800}-\u{10fff}\u{1e800}-\u{1efff}]/u;

/**
 * What somebody typed, for use within a sentence: the numbers around a name that is written from right to left stay in their order.
 * @param {string} text
 */
export function isolated(text) {
  return RIGHT_TO_LEFT.test(text) ? `\u2068${text}\u2069` : text;
}
