"use strict";
/* Draws each picture of the page from its specification, with its words for those who do not see it. Where that fails the still
   picture is shown. Colours are put in as names of the style sheet, so that light, dark and print need no new drawing. */
(() => {
  const PAINTS = ["fill", "stroke"];
  const SVG = "http://www.w3.org/2000/svg";

  function paint(svg, colours) {
    for (const part of svg.querySelectorAll("*")) {
      for (const name of PAINTS) {
        const named = colours[(part.getAttribute(name) ?? "").toUpperCase()];
        if (named) part.setAttribute(name, named);
      }
    }
  }

  // A picture is told as a whole; its marks have no words of their own, and a reader must not stop at each of them.
  const SPOKEN = ["role", "aria-roledescription", "aria-label", "aria-hidden"];
  let told = 0;
  function tell(svg, place) {
    for (const part of svg.querySelectorAll("*")) for (const name of SPOKEN) part.removeAttribute(name);
    const ids = [];
    for (const [name, words] of [["desc", place.dataset.alt], ["title", place.dataset.title]]) {
      const one = document.createElementNS(SVG, name);
      one.id = `told-${++told}`;
      one.textContent = words;
      svg.prepend(one);
      ids.unshift(one.id);
    }
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-labelledby", ids.join(" "));
  }

  async function set(place, { spec, colours }) {
    const bench = document.createElement("div");
    const drawn = await window.wattwrightDraw(bench, spec);
    const svg = bench.querySelector("svg");
    paint(svg, colours);
    tell(svg, place);
    place.replaceChildren(svg);
    drawn.finalize();
    place.dataset.drawn = "here";
    return svg;
  }
  window.wattwrightSet = set;

  async function draw(place) {
    const answer = await fetch(place.dataset.drawing);
    if (!answer.ok) throw new Error(answer.status);
    await set(place, await answer.json());
  }

  function still(place) {
    const picture = new Image();
    picture.src = place.dataset.still;
    picture.alt = `${place.dataset.title}: ${place.dataset.alt}`;
    place.replaceChildren(picture);
    place.dataset.drawn = "still";
  }

  // What is in sight is drawn first, then the rest, one after the other, so that a print has them all. A form that is hidden at
  // this width waits until it comes into sight.
  const begun = new Set();
  function begin(place) {
    if (begun.has(place)) return null;
    begun.add(place);
    watch.unobserve(place);
    return draw(place).catch(() => still(place));
  }
  const places = [...document.querySelectorAll("[data-drawing]")];
  const watch = new IntersectionObserver((seen) => {
    for (const one of seen) if (one.isIntersecting) begin(one.target);
  }, { rootMargin: "200px" });
  for (const place of places) watch.observe(place);
  addEventListener("load", async () => {
    for (const place of places) if (place.offsetParent) await begin(place);
  });
})();
