// The picture of the room that stays in view, with its ways of seeing.
import { say as inWords } from "./clock";
import { Newest, roomAt } from "./data";
import { h, place } from "./dom";
import type { Model } from "./model";
import { front, fromEye, perPlace, Picture, plan, scales, ways, type View, type Way } from "./picture";

export class Pane {
  readonly element: HTMLElement;
  readonly #canvas = h("canvas", { class: "room", role: "img" });
  readonly #legend = h("p", { class: "legend" });
  readonly #asked: Newest<Float32Array>;
  readonly #views: View[];
  #picture: Picture;
  #way: Way = "seen";
  #values: Float32Array | undefined;
  #last = -1;
  onValues: (values: Float32Array) => void = () => {};

  constructor(private readonly model: Model) {
    this.#views = viewsOf(model);
    const first = this.#views[0] ?? plan(model.show.room);
    this.#picture = new Picture(model.show.room, first);
    this.#asked = new Newest((v) => this.#take(v), () => this.#say("The room's light did not arrive: is the program still there?"));
    const known = model.show.room.panels.length > 0;
    this.element = h("figure", { class: "pane" }, h("div", { class: "stage" }, this.#canvas),
      known ? h("figcaption", {}, this.#wayChoice(), this.#viewChoice(first)) : h("figcaption", {}, h("p", {}, "The room was not solved, so there is no picture of it.")),
      this.#legend);
    this.#shape();
    new ResizeObserver(() => this.#draw()).observe(this.#canvas);
  }

  show(t: number): void {
    if (t === this.#last || !this.model.show.room.panels.length) return;
    this.#last = t;
    this.#asked.ask(() => roomAt(t));
  }

  #take(values: Float32Array): void {
    this.#values = values;
    this.#draw();
    this.onValues(values);
  }

  #draw(): void {
    if (!this.#values) return;
    this.#picture.draw(this.#canvas, this.#values, this.#way);
    const s = scales[this.#way];
    if (s) this.#scale(s);
    else this.#say(`white is ${inWords(this.#picture.white, "cd/m²")}`);
  }

  #say(text: string): void {
    this.#legend.replaceChildren(text);
  }

  #scale(s: { low: number; high: number; unit: string; class: string }): void {
    this.#legend.replaceChildren(h("span", {}, inWords(s.low)), h("span", { class: "ramp " + s.class, "aria-hidden": "true" }), h("span", {}, `${inWords(s.high, s.unit)}, equal ratios`));
  }

  #wayChoice(): HTMLElement {
    return h("fieldset", { class: "ways" }, h("legend", { class: "unseen" }, "Way of seeing"),
      ...ways.map(({ way, name, says }) => h("label", { title: says },
        h("input", { type: "radio", name: "way", value: way, checked: way === this.#way, change: () => { this.#way = way; this.#draw(); this.#name(); } }),
        h("span", {}, name))));
  }

  #viewChoice(first: View): HTMLElement {
    const select = h("select", { change: () => {
      const v = this.#views[select.selectedIndex] ?? first;
      this.#picture = new Picture(this.model.show.room, v);
      this.#shape();
      this.#draw();
    } }, ...this.#views.map((v) => h("option", {}, v.name)));
    return h("label", { class: "from" }, "from ", select);
  }

  #shape(): void {
    place(this.#canvas, { aspectRatio: String(this.#picture.view.aspect) });
    this.#name();
  }

  #name(): void {
    this.#canvas.setAttribute("aria-label", `the room, ${ways.find((w) => w.way === this.#way)?.name ?? ""}, ${this.#picture.view.name}`);
  }
}

// viewsOf lists the places to look from: the middle seat, the other seats, the
// two flat drawings, performers.
export function viewsOf(model: Model): View[] {
  const room = model.show.room;
  // The picture is framed on what is played with, or on the surfaces when
  // there is nothing else.
  const objects = room.panels.filter((p) => p.kind === "object");
  const subjects = (objects.length ? objects : room.panels.filter((p) => p.kind === "surface")).flatMap((p) => [0, 1, 2, 3].map((k) =>
    [0, 1, 2].map((i) => (p.corner[i] ?? 0) + (p.u[i] ?? 0) * (k & 1) * p.width + (p.v[i] ?? 0) * (k >> 1) * p.height) as unknown as readonly [number, number, number]));
  const eyes = (kind: string): View[] => room.points.filter((p) => p.kind === kind).map((p) => fromEye(p.name, p.at, p.looks, kind === "seat" ? subjects : [], 1.6));
  if (!room.panels.length) return [];
  const seats = eyes("seat");
  if (room.seat > 0) seats.unshift(...seats.splice(room.seat, 1));
  return [...seats, front(room), plan(room), ...eyes("performer")];
}

export type Reading = { name: string; kind: string; lux: number; luminance: number; glow: number; uv: number };

// readings takes the mean over each surface and object, and the value at each eye.
export function readings(model: Model, v: Float32Array): Reading[] {
  const room = model.show.room, out: Reading[] = [];
  const one = (at: number): Omit<Reading, "name" | "kind"> => {
    const k = at * perPlace, lum = (i: number): number => 0.2127 * (v[k + i] ?? 0) + 0.7152 * (v[k + i + 1] ?? 0) + 0.0722 * (v[k + i + 2] ?? 0);
    return { lux: v[k + 6] ?? 0, luminance: lum(0) + lum(3), glow: lum(3), uv: v[k + 7] ?? 0 };
  };
  const sums = new Map<string, Reading & { area: number }>(); // a thing may be in several panels
  for (const p of room.panels) {
    if ((p.kind !== "surface" && p.kind !== "object") || p.back) continue;
    // What is not on stage has no numbers, nor have patches that its outline does not fill.
    const there = Array.from({ length: p.cols * p.rows }, (_, i) => p.first + i).filter((at) => !Number.isNaN(v[at * perPlace]));
    if (!there.length) continue;
    const sum = sums.get(p.name) ?? { name: p.name, kind: p.kind, lux: 0, luminance: 0, glow: 0, uv: 0, area: 0 };
    sums.set(p.name, sum);
    const area = p.width * p.height / (p.cols * p.rows);
    for (const at of there) {
      const r = one(at);
      sum.lux += r.lux * area; sum.luminance += r.luminance * area; sum.glow += r.glow * area; sum.uv += r.uv * area;
      sum.area += area;
    }
  }
  for (const { area, ...r } of sums.values()) out.push({ ...r, lux: r.lux / area, luminance: r.luminance / area, glow: r.glow / area, uv: r.uv / area });
  for (const p of room.points) if (p.kind === "seat" || p.kind === "performer") out.push({ name: p.name, kind: p.kind, ...one(p.place) });
  return out;
}
