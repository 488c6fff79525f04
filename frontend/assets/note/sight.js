// @ts-check
// On a phone, keeps the buttons that end a reading in sight above the last entry, which is sticky at the bottom of the screen.

const NARROW = '(max-width: 61.99rem)'; // side by side when wider, see note.css

/** @param {HTMLElement} latest  the sticky entry @param {HTMLElement} endings  the buttons */
export function keepInSight(latest, endings) {
  const narrow = matchMedia(NARROW);
  /** Makes scrolling stop above the entry. @returns {boolean} whether the entry covers the page */
  const reserve = () => {
    const covers = narrow.matches && !latest.hidden && getComputedStyle(latest).position === 'sticky';
    document.documentElement.style.scrollPaddingBottom = covers ? `${latest.offsetHeight + 4}px` : '';
    return covers;
  };
  new ResizeObserver(reserve).observe(latest);
  narrow.addEventListener('change', reserve);
  // Only when the next reading begins, so that manual scrolling is not undone.
  document.addEventListener('focusin', ({ target }) => {
    if (target instanceof HTMLElement && target.id === 'note-distance' && reserve()) endings.scrollIntoView({ block: 'nearest' });
  });
}
