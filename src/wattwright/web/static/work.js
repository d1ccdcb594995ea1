"use strict";
/* Tells how far long work is, and shows the page anew when it has ended. Without this script loading the page again does the same. */
(() => {
  const place = document.querySelector("[data-run]");
  if (!place || !window.EventSource) return;
  const words = place.querySelector(".lead");
  const bar = place.querySelector("progress");
  const told = new EventSource(place.dataset.run);
  told.onmessage = (event) => {
    const now = JSON.parse(event.data);
    words.textContent = now.words;
    if (now.total) {
      bar.max = now.total;
      bar.value = now.done;
    }
    if (!now.open) {
      told.close();
      location.reload();
    }
  };
})();
