// @ts-check
// JSON in the browser's storage. Storage may be disabled or full: the pages then work without it.

/** @param {() => Storage} storage @param {string} name @returns {any} undefined when missing or unreadable */
export function load(storage, name) {
  try {
    return JSON.parse(storage().getItem(name) ?? 'null') ?? undefined;
  } catch {
    return undefined;
  }
}

/** @param {() => Storage} storage @param {string} name @param {unknown} value  undefined removes it */
export function save(storage, name, value) {
  try {
    if (value === undefined) storage().removeItem(name);
    else storage().setItem(name, JSON.stringify(value));
  } catch {
    // not stored
  }
}
