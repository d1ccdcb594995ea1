"use strict";
/* Opens the form that the address names and puts the focus into its first field. Without this script it is opened by hand. */
(() => {
  const FIELDS = "input:not([type=hidden]), select, textarea";

  let arrived = false;

  /* The place that the address names, and the field meant by it: itself, or the first of its form. */
  function named() {
    let place = null;
    try {
      place = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    } catch { /* an address that is no text names nothing */ }
    const whole = place?.matches(".asked, fieldset");
    const field = whole ? place.querySelector(FIELDS) ?? place.querySelector("button") : place?.matches(FIELDS) ? place : null;
    return { place, field };
  }

  function go(preventScroll) {
    const { place, field } = named();
    if (!field) return;
    for (let one = place.closest("details"); one; one = one.parentElement.closest("details")) one.open = true;
    field.focus({ preventScroll });
    arrived = true;
  }

  /* Shows the page anew; the focus stays where the address has it, unless the person has left that place. */
  window.wattwrightAnew = () => {
    const { field } = named();
    const at = document.activeElement;
    if (at !== field && (arrived || at !== document.body)) history.replaceState({ left: true }, "");
    location.reload();
  };

  // After the browser has gone to the place itself, which takes the focus from what is within it.
  const later = (preventScroll) => requestAnimationFrame(() => requestAnimationFrame(() => go(preventScroll)));
  addEventListener("hashchange", () => later(false));
  addEventListener("load", () => {
    // Whoever is somewhere already has moved on; so has who had left the place before the page was shown anew.
    if (document.activeElement !== document.body && document.activeElement !== named().field) return;
    if (!history.state?.left) later(performance.getEntriesByType("navigation")[0]?.type !== "navigate");
  });
})();
