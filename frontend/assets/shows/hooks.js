// @ts-check
// From which hook to which a setting was in force, out of lines that only say from where.

/** @import { AsRun } from '../model/showtypes.js' */

/**
 * The hooks a line was in force for. `to` is null while nothing followed; `replaced` where another line was noted for
 * the same hook later, so that it never pulled anything.
 * @typedef {{line: AsRun, from: number, to: number|null, replaced: boolean}} InForce
 */

/**
 * The class's own lines by hook, then those of the pull-off; of lines from the same hook, as they were noted. Some crews
 * count on into the pull-off and some begin it at 1 again: only in the first case does it end the class's last line.
 * @param {AsRun[]} lines  as the API lists them
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

/** The setting the class itself pulls with now: the last one noted. @param {AsRun[]} lines */
export function nowInForce(lines) {
  return spans(lines.filter((line) => !line.pull_off)).at(-1)?.line;
}

/**
 * "hooks 1 to 14", "hook 3", "hooks 15 on", each after "pull-off, " where it is one.
 * @param {InForce} span
 */
export function hookWords({ line, from, to, replaced }) {
  const hooks = replaced ? `hook ${from}, set again before it pulled`
    : to === null ? `hooks ${from} on`
      : from === to ? `hook ${from}` : `hooks ${from} to ${to}`;
  return line.pull_off ? `pull-off, ${hooks}` : hooks;
}
