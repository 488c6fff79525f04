// @ts-check
// Dates and times in words, in the time zone of this device unless another is named. The API uses ISO 8601.

const DAY_MS = 24 * 3600_000;

/** Today's date, ISO 8601. @param {string} [timeZone]  by its IANA name; this device's where absent, or not known here */
export function today(timeZone) {
  const digits = /** @type {const} */ ({ year: 'numeric', month: '2-digit', day: '2-digit' });
  let zoned;
  try {
    zoned = new Intl.DateTimeFormat('en-US', { ...digits, timeZone });
  } catch {
    zoned = new Intl.DateTimeFormat('en-US', digits);
  }
  const parts = new Map(zoned.formatToParts(new Date()).map(({ type, value }) => [type, value]));
  return `${parts.get('year')}-${parts.get('month')}-${parts.get('day')}`;
}

/** @param {string} iso @param {number} days  negative for earlier */
export function addDays(iso, days) {
  return new Date(Date.parse(`${iso}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10);
}

/** "May 9, 2026" from an ISO date. @param {string} iso */
export function dateWords(iso) {
  return formatDay(iso, {});
}

/** "Sat, Jul 18, 2026": at shows the day of the week matters. @param {string} iso */
export function dayWords(iso) {
  return formatDay(iso, { weekday: 'short' });
}

/** @param {string} iso @param {Intl.DateTimeFormatOptions} more */
function formatDay(iso, more) {
  const date = new Date(`${iso.slice(0, 10)}T00:00:00Z`);
  return Number.isNaN(date.getTime()) ? iso : format(date, { timeZone: 'UTC', ...more });
}

/** @param {Date} at @param {Intl.DateTimeFormatOptions} more */
function format(at, more) {
  return new Intl.DateTimeFormat('en-US', { day: 'numeric', month: 'short', year: 'numeric', ...more }).format(at);
}

/** The day of a time. @param {Date} at */
export function dayOf(at) {
  return format(at, {});
}

/** "2:05 PM". @param {Date} at */
export function timeWords(at) {
  return new Intl.DateTimeFormat('en-US', { hour: 'numeric', minute: '2-digit' }).format(at);
}

/** "May 9, 2026, 2:05 PM". @param {Date} at */
export function dateTimeWords(at) {
  return `${dayOf(at)}, ${timeWords(at)}`;
}

/** Whether a time is today. @param {Date} at */
export function isToday(at) {
  return at.toDateString() === new Date().toDateString();
}

/** "today, 2:05 PM" or "May 9, 2026, 2:05 PM". @param {string} iso  a time */
export function momentWords(iso) {
  const at = new Date(iso);
  if (Number.isNaN(at.getTime())) return iso;
  return isToday(at) ? `today, ${timeWords(at)}` : dateTimeWords(at);
}
