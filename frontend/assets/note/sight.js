// @ts-check
// On a phone the page stands where nothing has to be scrolled while noting: gears, number pad and endings in sight above the last entry,
// which is sticky at the bottom of the screen. Where that leaves no room for what is above the form, the page stands at the form.

const NARROW = '(max-width: 61.99rem)'; // side by side when wider, see note.css

/**
 * @param {HTMLElement} latest   the sticky entry
 * @param {HTMLElement} top      where the page stands: what is above need not be seen while noting
 * @param {HTMLElement} form     where it stands else: with what is corrected, or with the gears
 * @param {HTMLElement} endings  the buttons that end a reading
 * @returns {() => void} makes the page stand there, once it is laid out
 */
export function keepInSight(latest, top, form, endings) {
  const narrow = matchMedia(NARROW);
  /** Makes scrolling stop above the entry. @returns {number} how much of the screen the entry covers, px */
  const reserve = () => {
    const covers = narrow.matches && !latest.hidden && getComputedStyle(latest).position === 'sticky';
    document.documentElement.style.scrollPaddingBottom = covers ? `${latest.offsetHeight + 4}px` : '';
    return covers ? latest.offsetHeight : 0;
  };
  const stand = (/** @type {Element|undefined} */ focused = undefined) => requestAnimationFrame(() => {
    if (!narrow.matches || focused && focused !== document.activeElement) return; // the focus has gone on meanwhile
    const room = innerHeight - reserve(), below = endings.getBoundingClientRect().bottom;
    const least = below - top.getBoundingClientRect().top + parseFloat(getComputedStyle(top).scrollMarginTop);
    const from = least <= room ? top : form;
    if (from.getBoundingClientRect().top >= 0 && below <= room) return;
    from.scrollIntoView({ block: 'start' });
  });
  new ResizeObserver(reserve).observe(latest);
  narrow.addEventListener('change', reserve);
  // The notice that there is no signal comes later.
  new MutationObserver(() => {
    if (Math.abs(top.getBoundingClientRect().top) < innerHeight / 3) stand();
  }).observe(/** @type {HTMLElement} */ (top.parentElement), { childList: true });
  // Only when the next reading begins, so that manual scrolling is not undone.
  document.addEventListener('focusin', ({ target }) => {
    if (target instanceof HTMLElement && target.id === 'note-distance') stand(target);
  });
  return () => { stand(); };
}
