"use strict";
/* The readings over any stretch: drawn over to see it larger, read out column by column under the pointer and by the arrow keys.
   The server sends each stretch in so many columns as there are pixels, with the least and the greatest of each. */
(() => {
  const place = document.querySelector("[data-course]");
  if (!place) return;
  const SVG = "http://www.w3.org/2000/svg";
  const [read, title, step] = ["read", "title", "step"].map((one) => document.getElementById(`course-${one}`));
  const ZOOM = 4;
  let now = null;
  let plot = null;
  let cursor = null;
  let brush = null;
  let begun = null;
  let at = -1;
  let asked = 0;

  async function show(from, until) {
    const mine = ++asked;
    const query = from === undefined ? "" : `?from=${Math.round(from)}&until=${Math.round(until)}`;
    const form = matchMedia("(max-width: 699px)").matches ? "narrow" : "wide";
    const answer = await fetch(`${place.dataset.course}.${form}.json${query}`);
    if (!answer.ok || mine !== asked) return;
    const given = await answer.json();
    if (mine !== asked) return;
    place.dataset.title = given.title;
    place.dataset.alt = given.alt;
    const svg = await window.wattwrightSet(place, given);
    now = given;
    plot = svg.querySelector("g[transform]");
    [cursor, brush] = ["path", "rect"].map((name) => plot.appendChild(document.createElementNS(SVG, name)));
    cursor.setAttribute("stroke", "var(--accent)");
    brush.setAttribute("fill", "var(--accent)");
    brush.setAttribute("fill-opacity", "0.15");
    brush.setAttribute("height", "210");
    title.textContent = given.title;
    step.textContent = given.step;
    read.textContent = "";
    at = -1;
    for (const one of document.querySelectorAll("[data-stretch]")) one.href = one.dataset.stretch + query;
    place.dataset.columns = given.told.length;
  }

  const first = () => now.edges[0];
  const last = () => now.edges[now.edges.length - 1];
  const px = (time) => ((time - first()) / (last() - first())) * now.width;

  function point(to) {
    at = Math.min(Math.max(to, 0), now.told.length - 1);
    const x = px((now.edges[at] + now.edges[at + 1]) / 2);
    cursor.setAttribute("d", `M${x},0v210`);
    read.textContent = now.told[at];
  }

  function time(event) {
    const x = new DOMPoint(event.clientX, event.clientY).matrixTransform(plot.getScreenCTM().inverse()).x;
    return first() + (Math.min(Math.max(x, 0), now.width) / now.width) * (last() - first());
  }

  function column(when) {
    let low = 0;
    let high = now.told.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (now.edges[middle] <= when) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  function zoom(by) {
    const middle = at < 0 ? (first() + last()) / 2 : now.edges[at];
    const half = ((last() - first()) * by) / 2;
    return show(Math.max(middle - half, now.first), Math.min(middle + half, now.last));
  }

  function move(by) {
    // By whole readings, so that the way back leads to where one was.
    const span = last() - first();
    const far = Math.sign(by) * Math.round((Math.abs(by) * span) / now.every) * now.every;
    const from = Math.min(Math.max(first() + far, now.first), now.last - span);
    return show(from, from + span);
  }

  const MOVES = {
    in: () => zoom(1 / ZOOM), out: () => zoom(ZOOM), earlier: () => move(-0.5), later: () => move(0.5), all: () => show(),
  };
  const KEYS = { "+": MOVES.in, "-": MOVES.out, Escape: MOVES.all, PageUp: MOVES.earlier, PageDown: MOVES.later };
  place.addEventListener("keydown", (event) => {
    if (!now || event.ctrlKey || event.metaKey || event.altKey) return;
    const far = event.shiftKey ? 10 : 1;
    const steps = { ArrowRight: at + far, ArrowLeft: at < 0 ? now.told.length - 1 : at - far, Home: 0, End: now.told.length - 1 };
    if (event.key in steps) point(steps[event.key]);
    else if (event.key in KEYS) KEYS[event.key]();
    else return;
    event.preventDefault();
  });
  for (const one of document.querySelectorAll("[data-move]")) {
    one.hidden = false;
    one.addEventListener("click", () => now && MOVES[one.dataset.move]());
  }

  place.addEventListener("pointerdown", (event) => {
    if (!now || event.button !== 0) return;
    begun = time(event);
    place.setPointerCapture(event.pointerId);
  });
  place.addEventListener("pointermove", (event) => {
    if (!now) return;
    const when = time(event);
    point(column(when));
    if (begun === null) return;
    const [a, b] = [px(Math.min(begun, when)), px(Math.max(begun, when))];
    brush.setAttribute("x", a);
    brush.setAttribute("width", b - a);
  });
  place.addEventListener("pointerup", (event) => {
    if (!now || begun === null) return;
    const [from, until] = [begun, time(event)].sort((a, b) => a - b);
    begun = null;
    brush.setAttribute("width", 0);
    if (px(until) - px(from) > 4) show(from, until);
  });
  place.addEventListener("pointercancel", () => {
    begun = null;
    if (brush) brush.setAttribute("width", 0);
  });
  addEventListener("load", () => show());
})();
