// @ts-check
// Dates and times in words, in the time zone of this device unless another is named. The API uses ISO 8601.

const DAY_MS = 24 * 3600_000;

// English alone, and the browser's own formatter takes a tenth of a second to start on a slow phone.
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
const WEEKDAYS = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat'];

/** Today's date, ISO 8601. @param {string} [timeZone]  by its IANA name; this device's where absent, or not known here */
export function today(timeZone) {
  const now = new Date();
  if (timeZone) {
    try {
      const zoned = new Intl.DateTimeFormat('en-US', { year: 'numeric', month: '2-digit', day: '2-digit', timeZone });
      const parts = new Map(zoned.formatToParts(now).map(({ type, value }) => [type, value]));
      return `${parts.get('year')}-${parts.get('month')}-${parts.get('day')}`;
    } catch {
      // not known here
    }
  }
  const two = (/** @type {number} */ n) => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** Whether a date is past (-1), today (0) or ahead (1) in a time zone. @param {string} iso @param {string} [timeZone] */
export function whenIs(iso, timeZone) {
  const at = (/** @type {number} */ hours) => new Date(Date.now() + hours * 3600_000).toISOString().slice(0, 10);
  if (iso < at(-12)) return -1; // in every zone, from UTC-12 to UTC+14
  if (iso > at(14)) return 1;
  return Math.sign(Date.parse(iso) - Date.parse(today(timeZone)));
}

/** @param {string} iso @param {number} days  negative for earlier */
export function addDays(iso, days) {
  return new Date(Date.parse(`${iso}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10);
}

/** "May 9, 2026" from an ISO date. @param {string} iso */
export function dateWords(iso) {
  const at = new Date(`${iso.slice(0, 10)}T00:00:00Z`);
  return Number.isNaN(at.getTime()) ? iso : `${MONTHS[at.getUTCMonth()]} ${at.getUTCDate()}, ${at.getUTCFullYear()}`;
}

/** "Sat, Jul 18, 2026": at shows the day of the week matters. @param {string} iso */
export function dayWords(iso) {
  const weekday = WEEKDAYS[new Date(`${iso.slice(0, 10)}T00:00:00Z`).getUTCDay()];
  return weekday ? `${weekday}, ${dateWords(iso)}` : iso;
}

/** The day of a time. @param {Date} at */
export function dayOf(at) {
  return `${MONTHS[at.getMonth()]} ${at.getDate()}, ${at.getFullYear()}`;
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
