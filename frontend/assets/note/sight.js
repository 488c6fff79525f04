// @ts-check
// Keeps the buttons that end a reading in sight on a phone, above the entry that stays at the foot of the screen.

const NARROW = '(max-width: 61.99rem)'; // beside each other from there on, see note.css

/** @param {HTMLElement} latest the entry at the foot @param {HTMLElement} endings the buttons above it */
export function keepInSight(latest, endings) {
  const narrow = matchMedia(NARROW);
  /** Lets everything that is scrolled to stop above the entry. @returns {boolean} whether there is one over the page */
  const reserve = () => {
    const covers = narrow.matches && !latest.hidden && getComputedStyle(latest).position === 'sticky';
    document.documentElement.style.scrollPaddingBottom = covers ? `${latest.offsetHeight + 4}px` : '';
    return covers;
  };
  new ResizeObserver(reserve).observe(latest);
  narrow.addEventListener('change', reserve);
  // Once, when a reading was kept and the next one begins: nobody who has moved the page is moved back.
  document.addEventListener('focusin', ({ target }) => {
    if (target instanceof HTMLElement && target.id === 'note-distance' && reserve()) endings.scrollIntoView({ block: 'nearest' });
  });
}
