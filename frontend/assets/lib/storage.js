// @ts-check
// JSON in the browser's storage. Storage may be switched off or full: the pages work without it, and forget.

/** @param {() => Storage} storage @param {string} name @returns {any} undefined where there is none, or none that can be read */
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
    // forgotten at the next visit
  }
}
