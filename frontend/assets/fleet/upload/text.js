// @ts-check
// Parses a CSV file into rows of cells: encoding, separator, quotes. Rows are numbered as in a spreadsheet: the heading is row 1,
// and empty lines count.

/** @typedef {{row: number, cells: string[], broken: boolean}} Row  broken: mismatched quotes */

/**
 * The text of a file. If it is not UTF-8 it is decoded as Windows-1252, and `guessed` is true.
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

/** The separator: the most frequent candidate in the heading, outside quotes. @param {string} text */
export function separatorOf(text) {
  const [line] = text.replace(/"[^"]*"/g, '').split(/[\r\n]/, 1);
  const counts = [';', '\t', ','].map((separator) => ({ separator, count: line.split(separator).length }));
  return counts.reduce((most, one) => (one.count > most.count ? one : most)).separator;
}

/**
 * The rows of a text. A quote inside a cell is literal (12' 6"); a quote at its start encloses it.
 * @param {string} text
 * @param {string} separator
 * @returns {Generator<Row & {to: number}>}  `to` is the end of the row in the text
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
        // Text after the closing quote is an error.
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

/** @param {string} text @param {number} from  index of the opening quote */
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
