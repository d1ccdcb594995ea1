"use strict";
/* Reads pictures out, place by place, under the pointer and by the arrow keys; where a picture says how far it goes, a stretch that
   is drawn over, or asked for by keys and buttons, is asked of the server and takes the place of the whole.
   The words come from the server; where a place lies is taken from the drawing itself. */
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const ZOOM = 4;
  const LEAST_PX = 4;
  const within = (value, low, high) => Math.min(Math.max(value, low), high);

  /* The plots of a drawing in the order in which they are drawn, keys among them: each is a group that holds no other. */
  function plotsOf(svg) {
    const inner = "g.role-scope";
    return [...svg.querySelectorAll(`${inner}, g.role-frame`)]
      .filter((one) => !one.querySelector(inner))
      .map((one) => one.firstElementChild);
  }

  const joined = (address, query) => (query ? `${address}${address.includes("?") ? "&" : "?"}${query}` : address);

  function begin(figure) {
    const places = [...figure.querySelectorAll("[data-reading]")];
    const [output, title, step] = [".read output", "figcaption", ".step"].map((one) => figure.querySelector(one));
    const own = new Map(places.map((one) => [one, { drawing: one.dataset.drawing, reading: one.dataset.reading }]));
    const zooms = figure.querySelector(".moves") !== null;
    let told = null;
    let asking = null;
    let asked = 0;
    let at = null;
    let brush = null;
    for (const one of figure.querySelectorAll(".read, .moves")) one.hidden = false;

    /* What is read out is let go where the picture is left: on a narrow screen it lies over the page. */
    const leave = () => { output.textContent = ""; };
    addEventListener("pointerdown", (event) => {
      if (!figure.contains(event.target)) leave();
    });
    new IntersectionObserver((seen) => {
      if (!seen.at(-1).isIntersecting) leave();
    }).observe(figure);

    /* The words of the picture, asked for once; or of a stretch, whose drawing is asked for beside them. */
    async function ask(query) {
      const mine = ++asked;
      const given_ = async (address) => {
        const answer = await fetch(joined(address, query));
        if (!answer.ok) throw new Error(answer.status);
        return answer.json();
      };
      // A form that is hidden at this width and not drawn yet is drawn as the stretch when it comes into sight.
      const drawn = told ? places.filter((one) => one.dataset.drawn === "here") : [];
      const [given, ...specs] = await Promise.all([
        given_(own.get(places[0]).reading), ...drawn.map((one) => given_(own.get(one).drawing)),
      ]);
      if (mine !== asked) return;
      for (const one of places) {
        one.dataset.title = given.title;
        one.dataset.alt = given.alt;
        one.dataset.drawing = joined(own.get(one).drawing, query);
      }
      if (told) {
        for (const [i, one] of drawn.entries()) await window.wattwrightSet(one, specs[i]);
        title.textContent = given.title;
        step.textContent = given.step;
        output.textContent = "";
        at = null;
        for (const one of figure.querySelectorAll("[data-stretch]")) one.href = joined(one.dataset.stretch, query);
      }
      told = given;
      reserve();
      figure.dataset.shown = query || "all";
    }

    /* Room for the longest words of the picture, so that nothing below it moves while it is read out. */
    function reserve() {
      const line = output.parentElement;
      const bench = line.appendChild(document.createElement("span"));
      bench.className = "longest";
      bench.setAttribute("aria-hidden", "true");
      let longest = "";
      for (const words of told.plots) {
        for (const [row, cells] of words.cells.entries()) {
          for (const column of cells.keys()) {
            const one = wording(words, column, row);
            if (one.length > longest.length) longest = one;
          }
        }
      }
      bench.textContent = longest;
      // Where what is read out lies along the foot of the screen there is no room to reserve.
      const { minHeight } = getComputedStyle(line);
      if (minHeight !== "0px" && bench.offsetHeight > parseFloat(minHeight)) line.style.minHeight = `${bench.offsetHeight}px`;
      bench.remove();
    }

    const wording = (words, column, row) => {
      const place = [words.columns[column], words.lines[row]].filter(Boolean).join(" ");
      return [place, words.cells[row][column]].filter(Boolean).join(": ");
    };

    const ready = () => (asking = asking ?? ask("").catch(() => { asking = null; }));

    /* Plots of the drawing that are read out, each with its words; several may share theirs. */
    function spots(place) {
      const svg = place.querySelector("svg");
      if (!svg || !told) return [];
      const drawn = plotsOf(svg);
      let next = 0;
      return told.plots.map((words) => {
        const over = drawn.slice(next, (next += words.over));
        return { words, over };
      }).filter(({ words, over }) => words.cells.length && over.length === words.over);
    }

    const size = (plot) => plot.querySelector(":scope > path.background").getBBox();
    const local = (plot, event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(plot.getScreenCTM().inverse());
    const marks = (plot) => [...plot.querySelectorAll("g.mark-symbol path")].map((one) => {
      const { e, f } = one.transform.baseVal.consolidate().matrix;
      return { x: e, y: f };
    });

    /* Where the columns begin and end, from 0 to 1. */
    function columns({ columns: names, edges, even }) {
      if (even || !edges.length) return Array.from({ length: names.length + 1 }, (_, i) => i / names.length);
      const [first, last] = [edges[0], edges[edges.length - 1]];
      return edges.map((one) => (one - first) / (last - first));
    }
    const rows = ({ cells, tops }) => (tops.length ? tops : Array.from({ length: cells.length + 1 }, (_, i) => i / cells.length));
    const holding = (ends, share) => within(ends.findLastIndex((one) => one <= share), 0, ends.length - 2);

    /* A place of the picture in the units in which stretches are asked for. */
    function value(words, share) {
      const ends = columns(words);
      const i = holding(ends, share);
      return words.edges[i] + ((share - ends[i]) / (ends[i + 1] - ends[i])) * (words.edges[i + 1] - words.edges[i]);
    }

    function drawIn(plot, name, path) {
      const one = plot.appendChild(document.createElementNS(SVG, "path"));
      one.setAttribute("class", name);
      one.setAttribute("d", path);
      return one;
    }

    function read(place, spot, column, row) {
      const { words, over } = spot;
      at = { plot: spots(place).findIndex((one) => one.words === words), column, row };
      for (const one of place.querySelectorAll(".mark-here")) one.remove();
      for (const plot of over) {
        const { width, height } = size(plot);
        if (words.marks) {
          const { x, y } = marks(plot)[column];
          drawIn(plot, "mark-here", `M${x - 7},${y - 7}h14v14h-14Z`);
          continue;
        }
        const [across, down] = [columns(words), rows(words)];
        const [x, w] = [across[column] * width, (across[column + 1] - across[column]) * width];
        const [y, h] = [down[row] * height, (down[row + 1] - down[row]) * height];
        drawIn(plot, "mark-here", words.lines.length ? `M${x},${y}h${w}v${h}h${-w}Z` : `M${x + w / 2},0v${height}`);
      }
      output.textContent = wording(words, column, row);
    }

    function point(place, event) {
      let best = null;
      for (const spot of spots(place)) {
        for (const plot of spot.over) {
          const { width, height } = size(plot);
          const { x, y } = local(plot, event);
          const far = Math.max(-x, x - width, 0) + Math.max(-y, y - height, 0);
          if (!best || far < best.far) best = { spot, plot, x, y, far, width, height };
        }
      }
      if (!best) return null;
      const { words } = best.spot;
      let [column, row] = [0, 0];
      if (words.marks) {
        const distances = marks(best.plot).map((one) => Math.hypot(one.x - best.x, one.y - best.y));
        column = distances.indexOf(Math.min(...distances));
      } else {
        column = holding(columns(words), best.x / best.width);
        row = holding(rows(words), best.y / best.height);
      }
      read(place, best.spot, column, row);
      return { ...best, share: within(best.x / best.width, 0, 1) };
    }

    const edges = () => told.plots[0].edges;
    const ends = () => [edges()[0], edges()[edges().length - 1]];

    function show(from, until) {
      const { first, last } = told.zoom;
      const all = from === undefined || (from <= first && until >= last);
      return ask(all ? "" : `from=${from}&until=${until}`).catch(() => { output.textContent = output.parentElement.dataset.failed; });
    }

    function zoom(by) {
      const [first, last] = ends();
      const here = at && at.plot === 0 ? (edges()[at.column] + edges()[at.column + 1]) / 2 : (first + last) / 2;
      const half = ((last - first) * by) / 2;
      return show(Math.max(here - half, told.zoom.first), Math.min(here + half, told.zoom.last));
    }

    function move(by) {
      // By whole steps, so that the way back leads to where one was.
      const [first, last] = ends();
      const { every } = told.zoom;
      const far = Math.sign(by) * Math.max(Math.round((Math.abs(by) * (last - first)) / every), 1) * every;
      const from = within(first + far, told.zoom.first, told.zoom.last - (last - first));
      return show(from, from + (last - first));
    }

    const MOVES = {
      in: () => zoom(1 / ZOOM), out: () => zoom(ZOOM), earlier: () => move(-0.5), later: () => move(0.5), all: () => show(),
    };
    const KEYS = { "+": "in", "-": "out", Escape: "all", PageUp: "earlier", PageDown: "later" };

    /* One place on, by an arrow key; beyond the last row of places lies the next plot. */
    function step_(place, right, down) {
      const all = spots(place);
      if (!all.length) return;
      if (!at) return void read(place, right < 0 || down < 0 ? all[all.length - 1] : all[0], 0, 0);
      const { words } = all[at.plot];
      const [most, last] = [words.columns.length - 1, words.cells.length - 1];
      let { plot, column, row } = at;
      if (words.columns.length === 1) [right, down] = [0, right + down];
      row += down;
      if (row < 0 || row > last) {
        plot = within(plot + Math.sign(down), 0, all.length - 1);
        row = plot === at.plot ? at.row : down > 0 ? 0 : all[plot].words.cells.length - 1;
        column = Math.min(column, all[plot].words.columns.length - 1);
        return void read(place, all[plot], column, row);
      }
      read(place, all[plot], within(column + right, 0, most), row);
    }

    const ARROWS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowDown: [0, 1], ArrowUp: [0, -1] };
    for (const place of places) {
      place.addEventListener("focus", ready);
      place.addEventListener("pointerenter", async (event) => {
        await ready();
        if (told && !at) point(place, event);
      });
      place.addEventListener("keydown", async (event) => {
        if (event.ctrlKey || event.metaKey || event.altKey) return;
        const moves = event.key in KEYS && zooms;
        if (!(event.key in ARROWS || event.key === "Home" || event.key === "End" || moves)) return;
        event.preventDefault();
        await ready();
        if (!told) return;
        const far = event.shiftKey ? 10 : 1;
        if (moves) MOVES[KEYS[event.key]]();
        else if (event.key in ARROWS) step_(place, ARROWS[event.key][0] * far, ARROWS[event.key][1]);
        else {
          const all = spots(place);
          const spot = all[at ? at.plot : 0];
          if (!spot) return;
          const [first, { columns: names, cells }] = [event.key === "Home", spot.words];
          // Places that stand one below another have their ends above and below.
          const [column, row] = [first ? 0 : names.length - 1, names.length > 1 ? (at?.row ?? 0) : first ? 0 : cells.length - 1];
          read(place, spot, column, row);
        }
      });
      place.addEventListener("pointerdown", (event) => {
        if (!told || !told.zoom || event.button !== 0) return;
        const found = point(place, event);
        if (!found || found.spot.words !== told.plots[0] || found.far > 0) return;
        brush = { ...found, from: found.share, shape: drawIn(found.plot, "brush", "") };
        place.setPointerCapture(event.pointerId);
      });
      place.addEventListener("pointermove", (event) => {
        if (!told) return;
        const found = point(place, event);
        if (!brush || !found) return;
        brush.until = within(local(brush.plot, event).x / brush.width, 0, 1);
        const [a, b] = [brush.from, brush.until].map((one) => one * brush.width);
        brush.shape.setAttribute("d", `M${a},0H${b}V${brush.height}H${a}Z`);
      });
      place.addEventListener("pointerup", () => {
        if (!brush) return;
        const { from, until = from, width, shape } = brush;
        brush = null;
        shape.remove();
        const [a, b] = [from, until].sort((one, other) => one - other);
        if ((b - a) * width > LEAST_PX) show(value(told.plots[0], a), value(told.plots[0], b));
      });
      place.addEventListener("pointercancel", () => {
        if (brush) brush.shape.remove();
        brush = null;
      });
    }
    for (const one of figure.querySelectorAll("[data-move]")) {
      one.addEventListener("click", async () => {
        await ready();
        if (told) MOVES[one.dataset.move]();
      });
    }
  }

  for (const figure of document.querySelectorAll("figure")) if (figure.querySelector("[data-reading]")) begin(figure);
})();
