"use strict";
/* The survey on the phone: fields made from what the job gave, entries kept in this browser and saved as a file. No network. */
(() => {
  const given = JSON.parse(document.getElementById("given").textContent);
  const words = given.words;
  const LONGEST_PX = 1280;
  const MOST_PHOTOS = 12;
  const KEPT_AS = `survey ${given.job} ${given.made_from}`;
  const said = document.getElementById("said");
  const say = (text) => { said.textContent = text; };
  let entered = { supply: {}, loads: [] };
  let base = null;

  // What is entered is one record of a small database of the browser; it holds photos too, which the plainer store has no room for.
  const open = () => new Promise((well, ill) => {
    const asked = indexedDB.open("survey", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("entries");
    asked.onsuccess = () => well(asked.result);
    asked.onerror = () => ill(asked.error);
  });
  const request = (how, act) => new Promise((well, ill) => {
    const move = base.transaction("entries", how);
    const asked = act(move.objectStore("entries"));
    move.oncomplete = () => well(asked.result);
    move.onerror = move.onabort = () => ill(move.error);
  });
  let waiting = Promise.resolve();
  function keep() {
    const now = structuredClone(entered);
    waiting = waiting.then(() => request("readwrite", (store) => store.put(now, KEPT_AS)))
      .then(() => say(words.kept), () => say(words.not_kept));
    return waiting;
  }

  function element(name, more = {}, ...inside) {
    const made = Object.assign(document.createElement(name), more);
    made.append(...inside);
    return made;
  }

  let count = 0;
  function control(field, holder) {
    const id = `f${++count}`;
    const value = holder[field.name] ?? "";
    const units = field.units ?? (field.unit ? [field.unit] : []);
    const match = /^(.*?)\s*([^\d\s.,]*)$/.exec(value);
    const unit = units.includes(match?.[2]) ? match[2] : units[0];
    const shown = units.length && match ? match[1] : value;
    const told = units.length > 1
      ? element("select", { className: "unit", ariaLabel: `${field.label}, unit` }, ...units.map((one) => new Option(one, one, false, one === unit)))
      : element("span", { className: "unit", textContent: units[0] ?? "" });
    let input;
    if (field.choices) {
      const options = ["", ...field.choices].map((one) => new Option(one || words.open, one, false, one === value));
      input = element("select", { id }, ...options);
    } else if (field.name === "note") {
      input = element("textarea", { id, value, maxLength: 300 });
    } else {
      const mode = field.whole ? "numeric" : units.length ? "decimal" : "text";
      input = element("input", { id, value: shown, inputMode: mode, autocomplete: "off", maxLength: 120 });
    }
    function change() {
      const text = input.value.trim();
      const chosen = told instanceof HTMLSelectElement ? told.value : units[0];
      if (text) holder[field.name] = chosen ? `${text} ${chosen}` : text;
      else delete holder[field.name];
      keep();
    }
    input.addEventListener("input", change);
    told.addEventListener("change", change);
    const row = element("div", { className: "control" }, input);
    if (units.length) row.append(told);
    const made = element("div", { className: "field" }, element("label", { htmlFor: id, textContent: field.label }), row);
    if (field.help) {
      made.append(element("p", { className: "source", id: `${id}-help`, textContent: field.help }));
      input.setAttribute("aria-describedby", `${id}-help`);
    }
    return made;
  }

  // A photo is drawn anew at a size that letters of a plate can be read at, so that nothing but the picture is kept.
  async function small(file) {
    const photo = await createImageBitmap(file);
    const scale = Math.min(1, LONGEST_PX / Math.max(photo.width, photo.height));
    const canvas = element("canvas", { width: Math.round(photo.width * scale), height: Math.round(photo.height * scale) });
    canvas.getContext("2d").drawImage(photo, 0, 0, canvas.width, canvas.height);
    return canvas.toDataURL("image/jpeg", 0.75);
  }

  function photos(load) {
    const place = element("div", { className: "photos" });
    function draw() {
      place.replaceChildren(...load.photos.map((source, at) => {
        const alt = words.plate.replace("{name}", load.entries.name ?? "").replace("{count}", at + 1);
        const away = element("button", { type: "button", className: "quiet", textContent: words.remove_photo });
        away.addEventListener("click", () => { load.photos.splice(at, 1); draw(); keep(); });
        return element("figure", {}, element("img", { src: source, alt }), away);
      }));
    }
    const input = element("input", { type: "file", accept: "image/*" });
    input.setAttribute("capture", "environment");
    input.addEventListener("change", async () => {
      for (const file of input.files) {
        if (load.photos.length >= MOST_PHOTOS) { say(words.many_photos); break; }
        try {
          load.photos.push(await small(file));
          draw();
          await keep();
        } catch {
          say(words.no_photo);
        }
      }
      input.value = "";
    });
    draw();
    return [place, element("label", { className: "take" }, words.photo, input)];
  }

  function shownLoad(load, isOpen) {
    const title = element("summary", { textContent: load.entries.name || words.unnamed });
    const made = element("details", { open: isOpen }, title, ...given.load_fields.map((one) => control(one, load.entries)), ...photos(load));
    made.addEventListener("input", () => { title.textContent = load.entries.name || words.unnamed; });
    if (!load.id) {
      const away = element("button", { type: "button", className: "quiet", textContent: words.remove });
      away.addEventListener("click", () => {
        entered.loads.splice(entered.loads.indexOf(load), 1);
        made.remove();
        keep();
      });
      made.append(away);
    }
    return made;
  }

  function draw() {
    document.getElementById("supply").replaceChildren(...given.supply_fields.map((one) => control(one, entered.supply)));
    document.getElementById("loads").replaceChildren(...entered.loads.map((one) => shownLoad(one, false)));
  }

  // Only what differs from what the job said is saved.
  const differing = (now, before = {}) => Object.fromEntries(Object.entries(now).filter(([name, value]) => value !== before[name]));
  function file() {
    const known = new Map(given.loads.map((one) => [one.id, one.entries]));
    const loads = entered.loads
      .map((one) => ({ id: one.id, entries: differing(one.entries, known.get(one.id)), photos: one.photos }))
      .filter((one) => !one.id || Object.keys(one.entries).length || one.photos.length);
    const supply = differing(entered.supply, given.supply);
    return { schema: given.schema, job: given.job, made_from: given.made_from, supply, loads };
  }

  document.getElementById("add").addEventListener("click", () => {
    const load = { id: "", entries: {}, photos: [] };
    entered.loads.push(load);
    const made = shownLoad(load, true);
    document.getElementById("loads").append(made);
    made.scrollIntoView();
    made.querySelector("input").focus();
    keep();
  });
  document.getElementById("save").addEventListener("click", () => {
    const link = element("a", { download: given.file });
    link.href = URL.createObjectURL(new Blob([JSON.stringify(file())], { type: "application/json" }));
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    say(words.saved);
  });
  let sure = false;
  const clear = document.getElementById("clear");
  clear.addEventListener("click", () => {
    if (!sure) {
      sure = true;
      clear.textContent = words.clear_sure;
      return;
    }
    sure = false;
    clear.textContent = words.clear;
    begin();
    draw();
    keep();
  });

  function begin() {
    const loads = given.loads.map((one) => ({ id: one.id, entries: { ...one.entries }, photos: [] }));
    entered = { supply: { ...given.supply }, loads };
  }
  begin();
  open().then(async (opened) => {
    base = opened;
    entered = (await request("readonly", (store) => store.get(KEPT_AS))) ?? entered;
    draw();
  }).catch(() => { draw(); say(words.not_kept); });
})();
