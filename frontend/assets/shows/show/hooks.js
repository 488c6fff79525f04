// @ts-check
// The range of hooks for which each setting was in force, from lines that only have a first hook.

/** @import { AsRun } from '../../model/showtypes.js' */

/**
 * The hooks of a line. `to` is null for the last line; `replaced` when a later line starts at the same hook, so that this one never
 * pulled.
 * @typedef {{line: AsRun, from: number, to: number|null, replaced: boolean}} InForce
 */

/**
 * The lines of the class by hook, then those of the pull-off. Lines with the same hook keep their order. Some crews count on into
 * the pull-off, some start at 1 again: only in the first case the pull-off ends the class's last line.
 * @param {AsRun[]} lines  in the API's order
 * @returns {InForce[]}
 */
export function inForce(lines) {
  const own = spans(lines.filter((line) => !line.pull_off));
  const pullOff = spans(lines.filter((line) => line.pull_off));
  const last = own.at(-1);
  if (last && pullOff[0] && pullOff[0].from > last.from) last.to = pullOff[0].from - 1;
  return [...own, ...pullOff];
}

/** @param {AsRun[]} lines @returns {InForce[]} */
function spans(lines) {
  const ordered = [...lines].sort((a, b) => a.from_hook - b.from_hook);
  return ordered.map((line, place) => {
    const next = ordered[place + 1];
    return { line, from: line.from_hook, to: next ? next.from_hook - 1 : null, replaced: next?.from_hook === line.from_hook };
  });
}

/** The current setting of the class: the last one noted. @param {AsRun[]} lines */
export function nowInForce(lines) {
  return spans(lines.filter((line) => !line.pull_off)).at(-1)?.line;
}

/** "hooks 1 to 14", "hook 3", "from hook 15 on", with a prefix "pull-off, " for a pull-off. @param {InForce} span */
export function hookWords({ line, from, to, replaced }) {
  const hooks = replaced ? `hook ${from}, set again before it pulled`
    : to === null ? `from hook ${from} on`
      : from === to ? `hook ${from}` : `hooks ${from} to ${to}`;
  return line.pull_off ? `pull-off, ${hooks}` : hooks;
}
