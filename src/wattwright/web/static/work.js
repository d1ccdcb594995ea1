"use strict";
/* Tells how far work is, and shows the page anew when it has ended. Without this script loading the page again does the same. */
(() => {
  if (!window.EventSource) return;
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
        location.reload();
      }
    };
  }
})();
