"use strict";
/* Tells how far work is, and shows the page anew when it has ended. Without this script loading the page again does the same. */
(() => {
  if (!window.EventSource) return;
  // Whoever has begun to type, to choose a file or to send a form keeps it: the page then only says that there is more to see.
  let touched = false;
  for (const name of ["input", "submit"]) addEventListener(name, () => { touched = true; });
  for (const place of document.querySelectorAll("[data-run]")) {
    const words = place.querySelector(".lead");
    const bar = place.querySelector("progress");
    const told = new EventSource(place.dataset.run);
    told.onmessage = (event) => {
      const now = JSON.parse(event.data);
      if (now.words) words.textContent = now.words;
      if (now.total) {
        bar.max = now.total;
        bar.value = now.done;
      }
      if (!now.open) {
        told.close();
        if (touched) words.textContent = place.dataset.ready;
        else if (window.wattwrightAnew) window.wattwrightAnew();
        else location.reload();
      }
    };
  }
})();
