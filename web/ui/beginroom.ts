// Questions 3 and 4: the room, and who sits, plays and walks where.
import type { Area } from "./api";
import { choice, copy, field, figure, named, press, text, tick, type Form, type Mutable } from "./beginask";
import { corners, Plan, type Spot } from "./beginplan";
import { h, svg } from "./dom";

// Drawn is what is drawn of people; nowhere is said to be played where that is null.
type Drawn = Omit<Mutable<Form["answers"]["people"]>, "playing"> & { playing: Mutable<Area> | null };

const words = (list: readonly string[]): (readonly [string, string])[] => list.map((m) => [m, m]);

export function room(f: Form): HTMLElement {
  const a = copy(f.answers.room), save = (): void => f.save({ room: a });
  const cm = (v: number): number => Math.round(v * 100) / 100;
  const least = 2;
  const half = (x: number): void => { a.width = cm(Math.max(least, 2 * Math.abs(x))); };
  const back = (y: number): void => { a.depth = cm(a.front + Math.max(0.5, y)); };
  const front = (y: number): void => { const behind = a.depth - a.front; a.front = cm(Math.max(0.5, -y)); a.depth = cm(a.front + behind); };
  let edge = 0; // where the stage's edge is dragged to
  const spots = (): Spot[] => {
    const w = a.width / 2, top = a.depth - a.front, low = -a.front;
    const corner = (name: string, x: number, y: number, to: (y: number) => void): Spot => ({ key: name, name: `corner ${name}`, look: "corner", x, y, to: (nx, ny) => { half(nx); to(ny); } });
    return [
      corner("stage left", -w, top, back), corner("stage right", w, top, back), corner("audience left", -w, low, front), corner("audience right", w, low, front),
      { key: "left wall", name: "left wall", look: "edge", x: -w, y: (top + low) / 2, to: half }, { key: "right wall", name: "right wall", look: "edge", x: w, y: (top + low) / 2, to: half },
      { key: "back wall", name: "wall behind the stage", look: "edge", x: 0, y: top, to: (_, y) => back(y) }, { key: "front wall", name: "wall behind the audience", look: "edge", x: 0, y: low, to: (_, y) => front(y) },
      { key: "edge", name: "edge of the stage", look: "edge", x: 0, y: edge, to: (_, y) => { edge = Math.min(Math.max(y, 0.5 - a.front), a.depth - a.front - 0.5); } },
    ];
  };
  const plan = new Plan(() => a, {
    draw: (p) => [
      ...(edge ? [svg("path", { class: "stageline", d: `M${-a.width / 2} ${-edge}h${a.width}`, "stroke-width": 2 * p.px })] : []),
      p.text(0, a.front - a.depth + 24 * p.px, `${a.width} m`, "measure", "middle"), p.text(a.width / 2 - 8 * p.px, a.front - a.depth / 2 - 16 * p.px, `${a.depth} m`, "measure", "end"),
    ],
    spots,
    done: () => { a.front = cm(a.front + edge); edge = 0; save(); },
  }, "plan of the room: its walls and corners and the edge of the stage can be dragged");
  f.moving(() => plan.moving);
  const size = (at: "width" | "depth" | "height" | "front", label: string): HTMLElement => field(label, figure(at, a[at], (v) => { a[at] = v; save(); }, { min: 0.5, max: 100 }), "m");
  const of = (at: "walls" | "floor" | "ceiling", label: string): HTMLElement => field(label, choice(at, a[at], words(f.asking.materials), (v) => { a[at] = v; save(); }));
  const out = h("div", { class: "withplan" }, h("div", {}, size("width", "How wide?"), size("depth", "How deep?"), size("height", "How high?"), size("front", "From the wall behind the audience to the stage"),
    of("walls", "Walls"), of("floor", "Floor"), of("ceiling", "Ceiling"),
    field("Behind the stage hangs", choice("backdrop", a.backdrop, [["", "nothing: the wall"], ...words(f.asking.materials)], (v) => { a.backdrop = v; save(); })),
    h("p", { class: "says" }, "Measure it, do not guess: a laser or a tape, and the stage's edge from the wall behind the audience."),
    !f.answers.said[2] && press("so", "It is about as drawn", save)), h("figure", {}, plan.element, plan.said));
  plan.draw();
  return out;
}

export function people(f: Form): HTMLElement {
  const a = copy(f.answers.people) as Drawn, r = f.answers.room;
  const save = (): void => f.save({ people: tidy(a) as Form["answers"]["people"] });
  const at = (v: number): number => Math.round(v * 10) / 10;
  const spots = (): Spot[] => [
    ...(a.playing ? corners("playing", "where it is played", a.playing) : []),
    ...a.seats.flatMap((s, i) => corners(`seats ${i}`, s.name, s.area)),
    ...a.ways.flatMap((w, i) => w.points.map((p, k): Spot => ({ key: `way ${i} ${k}`, name: `${w.name}, point ${k + 1}`, x: p[0], y: p[1], to: (x, y) => { p[0] = x; p[1] = y; } }))),
    ...a.players.map((p, i): Spot => ({ key: `player ${i}`, name: p.name, x: p.x, y: p.y, to: (x, y) => { p.x = x; p.y = y; } })),
  ];
  const plan = new Plan(() => r, {
    draw: (p) => [
      ...(a.playing ? p.area(a.playing, "playing", "played here") : []), ...a.seats.flatMap((s) => p.area(s.area, "seats", s.name)),
      ...a.ways.flatMap((w) => [svg("polyline", { class: "way", points: w.points.map(([x, y]) => `${x},${-y}`).join(" "), "stroke-width": w.width }), p.label(w.points[0]?.[0] ?? 0, w.points[0]?.[1] ?? 0, w.name)]),
      ...a.players.map((one) => p.label(one.x, one.y, one.name)),
    ],
    spots, done: save,
  }, "plan of the room: seats, ways, players and where it is played can be dragged");
  f.moving(() => plan.moving);
  const front = r.front, side = r.width / 2;
  const add = {
    playing: () => { a.playing = { left: at(-side * 0.6), right: at(side * 0.6), near: 0.3, far: at(Math.max(0.9, (r.depth - front) * 0.75)) }; save(); },
    seats: () => { a.seats.push({ id: "", name: named("seats", a.seats.map((s) => s.name)), children: false, area: { left: at(-side * 0.7), right: at(side * 0.7), near: at(-Math.min(1.5, front * 0.3)), far: at(-front * 0.85) } }); save(); },
    way: () => { a.ways.push({ id: "", name: named("way", a.ways.map((w) => w.name)), width: 0.9, points: [[at(-side * 0.85), at(-front * 0.9)], [at(-side * 0.85), 0]] }); save(); },
    player: () => { a.players.push({ id: "", name: named("player", a.players.map((p) => p.name)), x: 0, y: at((r.depth - front) / 2) }); save(); },
  };
  const gone = (key: string, name: string, cut: () => void): HTMLButtonElement => press(`cut ${key}`, "Take out", () => { cut(); save(); }, { "aria-label": `take out ${name}` });
  const rows = [
    ...(a.playing ? [h("li", {}, h("b", {}, "where it is played"), gone("playing", "where it is played", () => { a.playing = null; }))] : []),
    ...a.seats.map((s, i) => h("li", {}, text(`seats ${i}`, s.name, (v) => { s.name = v; save(); }, { "aria-label": "name of these seats" }), tick(`children ${i}`, "children", s.children, (v) => { s.children = v; save(); }), gone(`seats ${i}`, s.name, () => a.seats.splice(i, 1)))),
    ...a.players.map((p, i) => h("li", {}, text(`player ${i}`, p.name, (v) => { p.name = v; save(); }, { "aria-label": "name of this player" }), gone(`player ${i}`, p.name, () => a.players.splice(i, 1)))),
    ...a.ways.map((w, i) => h("li", {}, text(`way ${i}`, w.name, (v) => { w.name = v; save(); }, { "aria-label": "name of this way" }), figure(`width ${i}`, w.width, (v) => { w.width = v; save(); }, { min: 0.3, max: 10, "aria-label": `width of ${w.name}, m` }), "m wide",
      press(`bend ${i}`, "One point more", () => { const [x, y] = w.points.at(-1) ?? [0, 0]; w.points.push([x, at(y + 0.8)]); save(); }), gone(`way ${i}`, w.name, () => a.ways.splice(i, 1)))),
  ];
  const out = h("div", { class: "withplan" }, h("div", {}, h("p", { class: "row" }, press("add seats", "Seats", add.seats), !a.playing && press("add playing", "Where it is played", add.playing), press("add player", "A player", add.player), press("add way", "A way that people walk", add.way)),
    rows.length > 0 ? h("ul", { class: "rows" }, ...rows) : h("p", { class: "says" }, "Put down where people sit, where it is played, who plays, and the ways that people walk while it is dark: then drag them on the plan."),
    h("p", { class: "says" }, "Light for eyes, ultraviolet and steps in the dark are judged from here. Children's seats are judged more strictly.")), h("figure", {}, plan.element, plan.said));
  plan.draw();
  return out;
}

// tidy turns areas the right way round, however their corners were dragged.
function tidy(a: Drawn): Drawn {
  const turn = (b: Mutable<Area>, out: boolean): void => {
    [b.left, b.right] = [Math.min(b.left, b.right), Math.max(b.left, b.right)];
    const low = Math.min(b.near, b.far), high = Math.max(b.near, b.far);
    [b.near, b.far] = out ? [high, low] : [low, high];
  };
  for (const s of a.seats) turn(s.area, true);
  if (a.playing) turn(a.playing, false);
  return a;
}
