// @ts-check
// A spreadsheet's file as rows of cells: its encoding, what separates its columns, its quotes. Rows are counted as a
// spreadsheet shows them: the heading is row 1, and empty lines count.

/** @typedef {{row: number, cells: string[], broken: boolean}} Row  broken: its quotes do not match */

/**
 * The text of a file. What is no UTF-8 is read as Windows-1252, the usual other one, and `guessed` says so.
 * @param {ArrayBuffer} bytes
 * @returns {{text: string, guessed: boolean}}
 */
export function textOf(bytes) {
  const [a, b] = new Uint8Array(bytes, 0, Math.min(2, bytes.byteLength));
  if (a === 0xff && b === 0xfe) return { text: new TextDecoder('utf-16le').decode(bytes), guessed: false };
  if (a === 0xfe && b === 0xff) return { text: new TextDecoder('utf-16be').decode(bytes), guessed: false };
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes), guessed: false };
  } catch {
    return { text: new TextDecoder('windows-1252').decode(bytes), guessed: true };
  }
}

/** What separates the columns: whatever stands most often in the heading, outside of quotes. @param {string} text */
export function separatorOf(text) {
  const [line] = text.replace(/"[^"]*"/g, '').split(/[\r\n]/, 1);
  const counts = [';', '\t', ','].map((separator) => ({ separator, count: line.split(separator).length }));
  return counts.reduce((most, one) => (one.count > most.count ? one : most)).separator;
}

/**
 * The rows of a text. A quote in the middle of a cell is what it is (12' 6"); one at its beginning encloses it.
 * @param {string} text
 * @param {string} separator
 * @returns {Generator<Row & {to: number}>}  `to` is how far the text is read
 */
export function* rowsOf(text, separator) {
  let at = 0;
  for (let row = 1; at < text.length; row++) {
    /** @type {string[]} */
    const cells = [];
    let broken = false;
    for (let ended = false; !ended;) {
      if (text[at] === '"') {
        const cell = quoted(text, at);
        at = cell.to;
        broken ||= cell.broken;
        cells.push(cell.text);
        // What stands behind the closing quote belongs to nothing.
        const end = endOfCell(text, at, separator);
        broken ||= text.slice(at, end).trim() !== '';
        at = end;
      } else {
        const end = endOfCell(text, at, separator);
        cells.push(text.slice(at, end));
        at = end;
      }
      ended = text[at] !== separator;
      at += text[at] === '\r' && text[at + 1] === '\n' ? 2 : 1;
      if (!ended && at >= text.length) {
        cells.push('');
        ended = true;
      }
    }
    yield { row, cells, broken, to: at };
  }
}

/** @param {string} text @param {number} from @param {string} separator */
function endOfCell(text, from, separator) {
  let at = from;
  while (at < text.length && text[at] !== separator && text[at] !== '\n' && text[at] !== '\r') at++;
  return at;
}

/** @param {string} text @param {number} from  where its first quote stands */
function quoted(text, from) {
  let inside = '';
  for (let at = from + 1; ;) {
    const end = text.indexOf('"', at);
    if (end < 0) return { text: inside + text.slice(at), to: text.length, broken: true };
    inside += text.slice(at, end);
    if (text[end + 1] !== '"') return { text: inside, to: end + 1, broken: false };
    inside += '"';
    at = end + 2;
  }
}

/** A cell as CSV has it (RFC 4180). @param {string} cell */
export function csvCell(cell) {
  return /[",\r\n]/.test(cell) ? `"${cell.replace(/"/g, '""')}"` : cell;
}
