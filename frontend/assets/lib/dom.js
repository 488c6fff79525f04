// @ts-check
// Small helpers to build pages from data. Text always goes in as text, never as markup.

/**
 * Makes an element. Attributes: a string or number is set, true sets it empty, false or nothing leaves it
 * out, a function listens to the event named after "on".
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
 * The element with that id, which the page is known to have.
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

/**
 * The form's control of that name, which the form is known to have.
 * @param {HTMLFormElement} form
 * @param {string} name
 * @returns {HTMLInputElement}
 */
export function control(form, name) {
  const found = form.elements.namedItem(name);
  if (!(found instanceof HTMLElement)) throw new Error(`the form has no control ${name}`);
  return /** @type {HTMLInputElement} */ (found); // selects and textareas have the same value and disabled
}

/**
 * A table that scrolls inside its own region where it is wider than the page.
 * @param {string} label  what the region and the table are called
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
 * A row whose first cell heads it.
 * @param {string|Node} first
 * @param {(string|Node)[]} others
 * @param {Record<string, string|boolean>} [attributes]
 */
export function row(first, others, attributes = {}) {
  return el('tr', attributes, el('th', { scope: 'row' }, first), ...others.map((text) => el('td', {}, text)));
}

/**
 * Radio buttons shaped as big targets.
 * @param {string} name
 * @param {{value: string, label: string}[]} choices
 * @param {string} chosen
 */
export function radios(name, choices, chosen) {
  return choices.map(({ value, label }) => el('label', { class: 'choice' },
    el('input', { type: 'radio', name, value, checked: value === chosen }), el('span', {}, label)));
}

/** The value of the radio button that is chosen in a place; empty where none is. @param {ParentNode} place */
export function chosenIn(place) {
  const chosen = place.querySelector('input[type="radio"]:checked');
  return chosen instanceof HTMLInputElement ? chosen.value : '';
}

/** Chooses one of the radio buttons in a place; none of them where no value is its. @param {ParentNode} place @param {string|undefined} value */
export function chooseIn(place, value) {
  for (const choice of place.querySelectorAll('input[type="radio"]')) {
    if (choice instanceof HTMLInputElement) choice.checked = choice.value === value;
  }
}

/** A control with its label and a hint. @param {string} label @param {HTMLElement} input @param {string} [hint] */
export function field(label, input, hint = '') {
  return el('div', { class: 'field' }, el('label', { for: input.id }, label), input, hint && el('p', { class: 'hint' }, hint));
}

/** Puts text into an element, which is hidden where there is none. @param {string} id @param {string} text */
export function putText(id, text) {
  putParts(id, ...(text === '' ? [] : [text]));
}

/** Puts parts into an element, which is hidden where there are none. @param {string} id @param {...(Node|string)} parts */
export function putParts(id, ...parts) {
  const place = byId(id, HTMLElement);
  place.hidden = parts.length === 0;
  place.replaceChildren(...parts);
}

/** Goes to the place that the address names, where it exists only now. */
export function scrollToHash() {
  if (location.hash) document.getElementById(location.hash.slice(1))?.scrollIntoView();
}

/** Changes parameters of the page's own address; one without a value goes. @param {Record<string, string|undefined>} values */
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
  // The browser has taken the file over once the click is done; the address is let go in its own turn.
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
