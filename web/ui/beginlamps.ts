// Questions 5, 6 and 7: which lamps, where they stand or hang, and what must glow.
import type { Kind, Table, Work } from "./api";
import { act, lamp, stop, table } from "./ask";
import { choice, copy, field, figure, named, press, progress, text, type Form } from "./beginask";
import { Plan, type Spot } from "./beginplan";
import { sentence } from "./clock";
import { h, svg } from "./dom";

let sought = ""; // what is searched for stays while the form is drawn anew
let pasted = { name: "", text: "", open: false };
let read: Table | undefined;

export function units(f: Form): HTMLElement {
  const a = copy(f.answers.units), save = (): void => f.save({ units: a });
  const found = h("ul", { class: "kinds" });
  const add = (k: Kind): void => {
    const more = a.groups.find((g) => g.type === k.name && g.system === k.system);
    if (more) more.count++;
    else a.groups.push({ id: "", type: k.name, mode: "", system: k.system, count: 1, units: [], slots: "" });
    save();
  };
  const list = (): void => {
    const words = sought.toLowerCase().split(/\s+/).filter(Boolean);
    const fit = f.asking.kinds.filter((k) => words.every((w) => `${k.name} ${k.light.join(" ")} ${k.modes.join(" ")}`.toLowerCase().includes(w)));
    found.replaceChildren(...fit.map((k) => h("li", {}, press(`add ${k.name}`, "Add", () => add(k), { "aria-label": `add ${k.name}` }), h("b", {}, k.name), h("small", {}, `${k.own ? "from your table; " : ""}${k.light.join(", ")}; ${k.modes.join(", ")}`))));
    if (fit.length === 0) found.append(h("li", { class: "says" }, "None is called so: paste the table of its manual below."));
  };
  const search = h("input", { type: "search", "data-at": "search", "aria-label": "search among kinds of lamps", placeholder: "search: bar, uv, white", input: () => { sought = search.value; list(); } });
  search.value = search.defaultValue = sought;
  list();
  const rows = a.groups.map((g, i) => {
    const k = f.asking.kinds.find((one) => one.name === g.type), modes = k?.modes ?? [];
    return h("tr", {}, h("td", {}, figure(`count ${i}`, g.count, (v) => { g.count = Math.max(1, Math.round(v)); save(); }, { min: 1, max: 200, step: 1, "aria-label": `how many ${g.type}` })), h("th", { scope: "row" }, g.type),
      h("td", {}, choice(`system ${i}`, g.system, f.asking.systems.map((s) => [s, s]), (v) => { g.system = v; save(); }, `what ${g.type} is for`)),
      h("td", {}, modes.length > 1 ? choice(`mode ${i}`, g.mode, [["", "not looked at yet"], ...modes.map((m): [string, string] => [m, m])], (v) => { g.mode = v; save(); }, `mode of ${g.type}, as its display says`) : modes[0] ?? ""),
      h("td", {}, g.slots), h("td", {}, press(`cut ${i}`, "Take out", () => { a.groups.splice(i, 1); save(); }, { "aria-label": `take out ${g.type}` })));
  });
  return h("div", {},
    rows.length > 0 ? h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "the lamps" }, h("table", { class: "ruled" }, h("thead", {}, h("tr", {}, ...["How many", "Lamp", "For", "Mode", "Address"].map((t) => h("th", { scope: "col" }, t)), h("td", {}))), h("tbody", {}, ...rows))) : h("p", { class: "says" }, "No lamp yet. Look at what lies there: how many light openings, which colours, is it black light?"),
    h("div", { class: "twoparts" }, h("section", {}, h("h3", {}, "Kinds that are built in"), search, found), manual(f)),
    h("p", { class: "says" }, "Addresses are dealt so that no two lamps share a slot: set them on the lamps' displays. The mode is what the display or the switches of the lamp say."));
}

// manual makes a lamp of the table that stands in its manual.
function manual(f: Form): HTMLElement {
  const name = h("input", { type: "text", "data-at": "lamp name", autocomplete: "off", input: () => { pasted.name = name.value; } });
  const area = h("textarea", { rows: 7, spellcheck: "false", "data-at": "lamp table", placeholder: "1 dimmer 0-255\n2 red\n3 green\n4 blue\n5 strobe 0-9 off, 10-255 slow to fast", input: () => { pasted.text = area.value; read = undefined; said.replaceChildren(); } });
  name.value = name.defaultValue = pasted.name;
  area.value = area.defaultValue = pasted.text;
  const said = h("div", { class: "understood", role: "status" });
  const tell = (): void => {
    if (!read) return;
    said.replaceChildren(...read.modes.map((m) => h("table", { class: "ruled" }, h("caption", {}, m.mode), h("tbody", {}, ...m.slots.map((s) => h("tr", {}, h("th", { scope: "row" }, s.slot), h("td", {}, s.does), h("td", {}, s.values.join(", "))))))),
      ...(read.doubts.length > 0 ? [h("h4", {}, "Look at these on the lamp"), h("ul", { class: "doubts" }, ...read.doubts.map((d) => h("li", {}, sentence(d))))] : []),
      h("p", { class: "row" }, press("keep lamp", "Keep this lamp", () => f.run(async () => {
        f.take(await lamp(f.asking.dir, pasted.name.trim() || "lamp from a table", pasted.text));
        pasted = { name: "", text: "", open: false };
        read = undefined;
      }))));
  };
  tell();
  return h("section", {}, h("details", { ...(pasted.open && { open: true }), toggle: (e) => { pasted.open = (e.target as HTMLDetailsElement).open; } }, h("summary", { "data-at": "manual" }, "From the table of a manual"),
    field("What is the lamp called?", name), field("Its table: one slot a line, as the manual has it", area),
    h("p", { class: "row" }, press("read table", "Read it", () => f.run(async () => { read = undefined; said.replaceChildren(); read = await table(pasted.text); tell(); }))), said));
}

export function places(f: Form): HTMLElement {
  const a = copy(f.answers.places), save = (): void => f.save({ places: a });
  const put = (i: number): void => { const u = a.units[i]; if (u) u.placed = true; };
  const spots = (): Spot[] => a.units.flatMap((u, i): Spot[] => [
    { key: `at ${u.unit}`, name: u.unit + (u.placed ? "" : ", not placed yet"), x: u.at[0], y: u.at[1], to: (x, y) => { u.at[0] = x; u.at[1] = y; put(i); } },
    ...(u.placed ? [{ key: `aim ${u.unit}`, name: `where ${u.unit} points`, look: "aim", x: u.aim[0], y: u.aim[1], to: (x: number, y: number) => { u.aim[0] = x; u.aim[1] = y; } } as const] : []),
  ]);
  const plan = new Plan(() => f.answers.room, {
    draw: (p) => [
      ...(f.answers.people.playing ? p.area(f.answers.people.playing, "playing", "") : []), ...f.answers.people.seats.flatMap((s) => p.area(s.area, "seats", "")),
      ...f.answers.glow.things.map((t) => svg("path", { class: "thing", d: `M${t.x - t.width / 2} ${-t.y}h${t.width}`, "stroke-width": 4 * p.px })),
      ...a.units.filter((u) => u.placed).map((u) => svg("path", { class: `beam${u.dark ? " dark" : ""}`, d: `M${u.at[0]} ${-u.at[1]}L${u.aim[0]} ${-u.aim[1]}`, "stroke-width": p.px })),
      ...a.units.map((u) => p.label(u.at[0], u.at[1], u.unit, u.placed ? "" : "soft")),
    ],
    spots, done: save,
  }, "plan of the room: lamps, and the points that they aim at, can be dragged");
  f.moving(() => plan.moving);
  const w: Work | undefined = f.work("places"), goes = w !== undefined && !w.done, loose = a.units.some((u) => !u.placed || u.guessed);
  const rows = a.units.map((u, i) => h("tr", {}, h("th", { scope: "row" }, u.unit), h("td", {}, u.placed ? u.guessed ? "proposed" : "placed" : h("i", {}, "guessed")),
    h("td", {}, figure(`height ${i}`, u.at[2], (v) => { u.at[2] = v; put(i); save(); }, { min: 0, max: 50, "aria-label": `height of ${u.unit}, m` })), h("td", {}, figure(`aim ${i}`, u.aim[2], (v) => { u.aim[2] = v; put(i); save(); }, { min: 0, max: 50, "aria-label": `height that ${u.unit} points to, m` })),
    h("td", {}, u.placed && press(`loose ${i}`, "Not yet", () => { u.placed = false; save(); }, { "aria-label": `Not yet: a place for ${u.unit}` }))));
  const out = h("div", { class: "withplan" }, h("div", {},
    a.units.length === 0 && h("p", { class: "says" }, "No lamp yet: that is question 5."),
    loose && !goes && h("p", { class: "row" }, press("propose", "Propose places", () => f.run(() => act("places", f.asking.dir)))),
    progress(w, () => f.run(() => stop(f.asking.dir, "places"))),
    rows.length > 0 && h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "places of the lamps" }, h("table", { class: "ruled" }, h("thead", {}, h("tr", {}, ...["Lamp", "Place", "Height, m", "Points to, m up"].map((t) => h("th", { scope: "col" }, t)), h("td", {}))), h("tbody", {}, ...rows))),
    h("p", { class: "says" }, "What is proposed keeps lenses out of eyes, stands out of ways, and ultraviolet below the day's dose as far as it is known. Hanging things over people is for those who are trained for it: a second suspension, and weights within the bar's load.")), h("figure", {}, plan.element, plan.said));
  plan.draw();
  return out;
}

export function glow(f: Form): HTMLElement {
  const a = copy(f.answers.glow), r = f.answers.room, save = (): void => f.save({ glow: a });
  const plan = new Plan(() => r, {
    draw: (p) => [
      ...(f.answers.people.playing ? p.area(f.answers.people.playing, "playing", "") : []), ...f.answers.people.seats.flatMap((s) => p.area(s.area, "seats", "")),
      ...a.things.flatMap((t) => [svg("path", { class: "thing", d: `M${t.x - t.width / 2} ${-t.y}h${t.width}`, "stroke-width": 5 * p.px }), p.label(t.x, t.y, t.name)]),
    ],
    spots: () => a.things.map((t, i): Spot => ({ key: `thing ${i}`, name: t.name, x: t.x, y: t.y, to: (x, y) => { t.x = x; t.y = y; } })), done: save,
  }, "plan of the room: things that glow can be dragged");
  f.moving(() => plan.moving);
  const add = (): void => { a.things.push({ id: "", name: named("thing", a.things.map((t) => t.name)), paint: f.asking.paints.find((p) => p.includes("yellow-green")) ?? f.asking.paints[0] ?? "", width: 0.5, height: 0.5, x: 0, y: Math.round((r.depth - r.front) * 5) / 10, z: 1.2 }); save(); };
  const rows = a.things.map((t, i) => h("li", { class: "thing" }, text(`thing ${i}`, t.name, (v) => { t.name = v; save(); }, { "aria-label": "name of this thing" }),
    choice(`paint ${i}`, t.paint, f.asking.paints.map((p) => [p, p]), (v) => { t.paint = v; save(); }, `paint of ${t.name}`),
    ...(["width", "height", "z"] as const).map((k) => h("label", {}, figure(`${k} ${i}`, t[k], (v) => { t[k] = v; save(); }, { min: 0.01, max: 20 }), { width: "m wide", height: "m high", z: "m up, its middle" }[k])),
    press(`cut thing ${i}`, "Take out", () => { a.things.splice(i, 1); save(); }, { "aria-label": `take out ${t.name}` })));
  const out = h("div", { class: "withplan" }, h("div", {}, h("p", { class: "row" }, press("add thing", "Something that glows", add)), rows.length > 0 ? h("ul", { class: "rows" }, ...rows) : h("p", { class: "says" }, "Nothing glows: then go on. Things that glow are painted with fluorescent paint and lit by black light."),
    a.things.length > 0 && !f.answers.places.units.some((u) => u.dark || u.system === "uv") && h("p", { class: "work wrong" }, "No lamp gives black light yet: question 5 has some."),
    h("p", { class: "says" }, "Ultraviolet harms eyes and skin: no lens where anybody looks into it, children least of all.")), h("figure", {}, plan.element, plan.said));
  plan.draw();
  return out;
}
