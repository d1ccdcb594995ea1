"use strict";
/* Draws each picture anew in the page, from the same specification that its first drawing was made from. What was there before
   stays when anything fails. Colours are put in as names of the style sheet, so that light, dark and print need no new drawing. */
(() => {
  const PAINTS = ["fill", "stroke"];

  function paint(svg, colours) {
    for (const part of svg.querySelectorAll("*")) {
      for (const name of PAINTS) {
        const named = colours[(part.getAttribute(name) ?? "").toUpperCase()];
        if (named) part.setAttribute(name, named);
      }
    }
  }

  function take(before, svg) {
    for (const name of ["role", "aria-labelledby"]) svg.setAttribute(name, before.getAttribute(name));
    svg.prepend(...before.querySelectorAll(":scope > title, :scope > desc"));
    before.replaceWith(svg);
  }

  async function draw(place) {
    const answer = await fetch(place.dataset.drawing);
    if (!answer.ok) return;
    const { spec, colours } = await answer.json();
    const bench = document.createElement("div");
    const drawn = await window.wattwrightDraw(bench, spec);
    const svg = bench.querySelector("svg");
    paint(svg, colours);
    take(place.querySelector("svg"), svg);
    drawn.finalize();
    place.dataset.drawn = "here";
  }

  // A form that is hidden at this width is drawn when it first comes into sight.
  const watch = new IntersectionObserver((seen) => {
    for (const one of seen) {
      if (!one.isIntersecting) continue;
      watch.unobserve(one.target);
      draw(one.target).catch(() => {});
    }
  }, { rootMargin: "200px" });
  for (const place of document.querySelectorAll("[data-drawing]")) watch.observe(place);
})();
