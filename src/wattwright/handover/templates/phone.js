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

  // What the desk would not take is told at once, by the bounds of the job file. It is kept and saved all the same: to be mended
  // here, or there.
  const PLAIN = /^[+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?$/;
  const GROUPED = /^[+-]?\d{1,3}(?:(?<sign>[\s' ,.])\d{3})(?:\k<sign>\d{3})*(?<rest>[.,]\d*)?(?:[eE][+-]?\d+)?$/;
  const UNSURE = /^[+-]?[1-9]\d{0,2},\d{3}$/;
  const SPAN = /^([01]?\d|2[0-3]):[0-5]\d\s*-\s*(?:(?:[01]?\d|2[0-3]):[0-5]\d|24:00)$/;
  const HOLDS = { gt: (a, b) => a > b, ge: (a, b) => a >= b, lt: (a, b) => a < b, le: (a, b) => a <= b };
  function number(text) {
    if (UNSURE.test(text)) return NaN;
    if (PLAIN.test(text)) return Number(text.replace(",", "."));
    const grouped = GROUPED.exec(text)?.groups;
    return grouped && grouped.rest?.[0] !== grouped.sign ? Number(text.replaceAll(grouped.sign, "").replace(",", ".")) : NaN;
  }
  const unitsOf = (field) => field.units ?? (field.unit ? [field.unit] : []);
  function parted(field, value) {
    const units = unitsOf(field);
    const unit = units.find((one) => value.endsWith(` ${one}`)) ?? units[0] ?? "";
    return [unit && value.endsWith(` ${unit}`) ? value.slice(0, -unit.length - 1) : value, unit];
  }
  function problem(field, holder, isNew) {
    const value = holder[field.name];
    if (!value) return isNew && field.beside?.some((name) => holder[name]) ? words.needed : "";
    if (field.spans) return value.split(",").every((one) => !one.trim() || SPAN.test(one.trim())) ? "" : words.no_span;
    if (field.of_hours && isNew && !field.of_hours.some((name) => holder[name])) return words.no_hours;
    if (!field.bounds) return "";
    const [text, unit] = parted(field, value);
    if (field.whole && !/^\d+$/.test(text)) return words.no_whole;
    const read = number(text);
    if (!Number.isFinite(read)) return words.no_number;
    const broken = field.bounds[unit].find(([kind, bound]) => !HOLDS[kind](read, bound));
    return broken ? words.expected.replace("{what}", broken[2]) : "";
  }
  const marks = new Map();
  function mark(holder) {
    for (const one of marks.get(holder) ?? []) one();
  }
  const isFresh = (load) => (load ? !load.id : !given.supply.system);
  const slips = (load) => {
    const [fields, holder] = load ? [given.load_fields, load.entries] : [given.supply_fields, entered.supply];
    return fields.filter((one) => problem(one, holder, isFresh(load))).length;
  };

  let count = 0;
  function control(field, holder, load) {
    const id = `f${++count}`;
    const value = holder[field.name] ?? "";
    const units = unitsOf(field);
    const [shown, unit] = parted(field, value);
    const told = units.length > 1
      ? element("select", { className: "unit", ariaLabel: `${field.label}, unit` }, ...units.map((one) => new Option(one, one, false, one === unit)))
      : element("span", { className: "unit", textContent: units[0] ?? "" });
    let input;
    if (field.choices) {
      const options = ["", ...field.choices].map((one) => new Option(one || words.open, one, false, one === value));
      input = element("select", { id }, ...options);
    } else if (field.name === "note") {
      input = element("textarea", { id, value, maxLength: field.longest });
    } else {
      const mode = field.whole ? "numeric" : units.length ? "decimal" : "text";
      input = element("input", { id, value: shown, inputMode: mode, autocomplete: "off", maxLength: field.longest ?? 120 });
    }
    function change() {
      const text = input.value.trim();
      const chosen = told instanceof HTMLSelectElement ? told.value : units[0];
      if (text) holder[field.name] = chosen ? `${text} ${chosen}` : text;
      else delete holder[field.name];
      mark(holder);
      keep();
    }
    input.addEventListener("input", change);
    told.addEventListener("change", change);
    const row = element("div", { className: "control" }, input);
    if (units.length) row.append(told);
    const made = element("div", { className: "field" }, element("label", { htmlFor: id, textContent: field.label }), row);
    if (field.help) made.append(element("p", { className: "source", id: `${id}-help`, textContent: field.help }));
    const wrong = element("p", { className: "wrong", id: `${id}-wrong` });
    made.append(wrong);
    input.setAttribute("aria-describedby", field.help ? `${id}-help ${id}-wrong` : `${id}-wrong`);
    const show = () => {
      wrong.textContent = problem(field, holder, isFresh(load));
      input.setAttribute("aria-invalid", Boolean(wrong.textContent));
    };
    marks.set(holder, [...(marks.get(holder) ?? []), show]);
    show();
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
    const title = element("summary");
    const name = () => {
      const wrong = slips(load);
      const plain = load.entries.name || words.unnamed;
      title.textContent = wrong ? words.to_mend.replace("{name}", plain).replace("{count}", wrong) : plain;
    };
    const fields = given.load_fields.map((one) => control(one, load.entries, load));
    const made = element("details", { open: isOpen }, title, ...fields, ...photos(load));
    marks.get(load.entries).push(name);
    name();
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
      .filter((one) => Object.keys(one.entries).length || one.photos.length);
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
    const wrong = [null, ...entered.loads].reduce((sum, load) => sum + slips(load), 0);
    say(wrong ? words.saved_wrong.replace("{count}", wrong) : words.saved);
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
