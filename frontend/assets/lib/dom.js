// @ts-check
// Helpers to build pages from data. Text is set as text, never as markup.

/**
 * Makes an element. Attributes: a string or number is set, true sets it empty, false or nothing omits it, a function listens to
 * the event named after "on".
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, string|number|boolean|null|undefined|((event: any) => void)>} [attributes]
 * @param {...(Node|string|null|undefined|false)} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function el(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === 'function') element.addEventListener(name.replace(/^on/, ''), value);
    else if (value === true) element.setAttribute(name, '');
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, String(value));
  }
  for (const child of children) {
    if (child !== null && child !== undefined && child !== false) element.append(child);
  }
  return element;
}

/**
 * The element with an id. The page must have it.
 * @template {HTMLElement} T
 * @param {string} id
 * @param {new () => T} kind
 * @returns {T}
 */
export function byId(id, kind) {
  const element = document.getElementById(id);
  if (!(element instanceof kind)) throw new Error(`the page has no ${kind.name} #${id}`);
  return element;
}

/** Whether an element still says what the server wrote into it. @param {HTMLElement} element */
export function isFromServer(element) {
  return 'fromServer' in element.dataset;
}

/**
 * The control with a name. The form must have it.
 * @param {HTMLFormElement} form
 * @param {string} name
 * @returns {HTMLInputElement}
 */
export function control(form, name) {
  const found = form.elements.namedItem(name);
  if (!(found instanceof HTMLElement)) throw new Error(`the form has no control ${name}`);
  return /** @type {HTMLInputElement} */ (found); // selects and textareas have value and disabled, too
}

/**
 * A table in a region that scrolls when the table is wider than the page.
 * @param {string} label  of the region and the table
 * @param {(string|Node)[]} heads
 * @param {(HTMLTableRowElement)[]} rows
 * @param {'figures'|'text'} [kind]  figures keep each cell on one line, text may wrap
 */
export function table(label, heads, rows, kind = 'figures') {
  const head = el('tr', {}, ...heads.map((text) => el('th', { scope: 'col' }, text)));
  return el('div', { class: 'scroll', role: 'region', tabindex: '0', 'aria-label': label },
    el('table', { class: kind }, el('caption', { class: 'unseen' }, label), el('thead', {}, head), el('tbody', {}, ...rows)));
}

/**
 * A row whose first cell is its head.
 * @param {string|Node} first
 * @param {(string|Node)[]} others
 * @param {Record<string, string|boolean>} [attributes]
 */
export function row(first, others, attributes = {}) {
  return el('tr', attributes, el('th', { scope: 'row' }, first), ...others.map((text) => el('td', {}, text)));
}

/**
 * Radio buttons as large targets.
 * @param {string} name
 * @param {{value: string, label: string}[]} choices
 * @param {string} chosen
 */
export function radios(name, choices, chosen) {
  return choices.map(({ value, label }) => el('label', { class: 'choice' },
    el('input', { type: 'radio', name, value, checked: value === chosen }), el('span', {}, label)));
}

/** The value of the checked radio button in a place; empty for none. @param {ParentNode} place */
export function chosenIn(place) {
  const chosen = place.querySelector('input[type="radio"]:checked');
  return chosen instanceof HTMLInputElement ? chosen.value : '';
}

/** Checks the radio button with a value; unchecks all when no button has it. @param {ParentNode} place @param {string|undefined} value */
export function chooseIn(place, value) {
  for (const choice of place.querySelectorAll('input[type="radio"]')) {
    if (choice instanceof HTMLInputElement) choice.checked = choice.value === value;
  }
}

/** A control with its label and a hint. @param {string} label @param {HTMLElement} input @param {string} [hint] */
export function field(label, input, hint = '') {
  return el('div', { class: 'field' }, el('label', { for: input.id }, label), input, hint && el('p', { class: 'hint' }, hint));
}

/** Sets the text of an element and hides it when empty. @param {string} id @param {string} text */
export function putText(id, text) {
  putParts(id, ...(text === '' ? [] : [text]));
}

/** Sets the children of an element and hides it when there are none. @param {string} id @param {...(Node|string)} parts */
export function putParts(id, ...parts) {
  const place = byId(id, HTMLElement);
  place.hidden = parts.length === 0;
  place.replaceChildren(...parts);
}

/** Scrolls to the fragment of the address, once the page is filled. */
export function scrollToHash() {
  if (location.hash) document.getElementById(location.hash.slice(1))?.scrollIntoView();
}

/** Changes parameters of the page's address. One without a value is removed. @param {Record<string, string|undefined>} values */
export function putInLink(values) {
  const here = new URL(location.href);
  for (const [name, value] of Object.entries(values)) {
    if (value) here.searchParams.set(name, value);
    else here.searchParams.delete(name);
  }
  history.replaceState(history.state, '', here);
}

/**
 * Saves text as a file on this device.
 * @param {string} name
 * @param {string} text
 * @param {string} type
 */
export function download(name, text, type) {
  const url = URL.createObjectURL(new Blob([text], { type }));
  const link = el('a', { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  // Not at once: the browser may still be reading the file.
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
