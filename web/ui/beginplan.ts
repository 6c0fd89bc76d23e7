// A plan to drag on: metres, the stage above, the audience below, as a plan of a room is held. Every
// handle moves by arrow keys too: 10 cm, with Shift 50 cm.
import type { Area, RoomSize } from "./api";
import { h, svg } from "./dom";

// Spot is something that can be moved.
export type Spot = { key: string; name: string; x: number; y: number; look?: "corner" | "edge" | "aim" | "dot"; to: (x: number, y: number) => void };

// Layer is what a plan shows and lets be moved; the drawing is made anew after each move.
export type Layer = { draw: (p: Plan) => readonly SVGElement[]; spots: () => readonly Spot[]; done: () => void };

// What is dragged comes to rest on whole tenths of a metre; fields take finer figures.
const snap = (v: number): number => Math.round(v * 10) / 10 + 0;
const beyond = 0.6; // m around the room

// where says a place in words.
export const where = (x: number, y: number): string =>
  `${Math.abs(x) < 0.03 ? "in the middle" : `${Math.abs(x).toFixed(2)} m ${x < 0 ? "left" : "right"}`}, ${Math.abs(y).toFixed(2)} m ${y < 0 ? "before" : "behind"} the stage's edge`;

export class Plan {
  readonly element = svg("svg", { class: "beginplan", role: "group" });
  readonly said = h("p", { class: "unseen", role: "status" });
  moving = false;
  #box: readonly [number, number, number, number] = [0, 0, 1, 1];
  #timer = 0;

  constructor(readonly hall: () => RoomSize, readonly layer: Layer, name: string) {
    this.element.setAttribute("aria-label", name);
    this.element.addEventListener("pointerdown", (e) => this.#take(e));
    this.element.addEventListener("keydown", (e) => this.#key(e));
    new ResizeObserver(() => { if (!this.moving) this.draw(); }).observe(this.element);
  }

  // px is how many metres a pixel is.
  get px(): number { return this.#box[2] / (this.element.clientWidth || 560); }

  draw(): void {
    const r = this.hall();
    if (!this.moving) this.#box = [-r.width / 2 - beyond, r.front - r.depth - beyond, r.width + 2 * beyond, r.depth + 2 * beyond];
    this.element.setAttribute("viewBox", this.#box.join(" "));
    const held = (document.activeElement as SVGElement | null)?.dataset?.["spot"];
    this.element.replaceChildren(...this.#room(r), ...this.layer.draw(this), ...this.layer.spots().map((s) => this.#handle(s)));
    if (held) this.element.querySelector<SVGElement>(`[data-spot="${CSS.escape(held)}"]`)?.focus();
  }

  #room(r: RoomSize): SVGElement[] {
    const left = -r.width / 2, top = r.front - r.depth, grid: SVGElement[] = [];
    for (let x = Math.ceil(left); x <= r.width / 2; x++) grid.push(svg("path", { class: "grid", d: `M${x} ${top}V${r.front}`, "stroke-width": this.px }));
    for (let y = Math.ceil(top); y <= r.front; y++) grid.push(svg("path", { class: "grid", d: `M${left} ${y}h${r.width}`, "stroke-width": this.px }));
    return [svg("rect", { class: "floor", x: left, y: top, width: r.width, height: r.depth }),
      svg("rect", { class: "stage", x: left, y: top, width: r.width, height: Math.max(0, -top) }), ...grid,
      svg("rect", { class: "walls", x: left, y: top, width: r.width, height: r.depth, "stroke-width": 3 * this.px }),
      svg("path", { class: "stageline", d: `M${left} 0h${r.width}`, "stroke-width": 1.5 * this.px, "stroke-dasharray": `${6 * this.px} ${4 * this.px}` }),
      this.text(-left - 6 * this.px, -6 * this.px, "stage", "soft", "end"), this.text(-left - 6 * this.px, 14 * this.px, "audience", "soft", "end")];
  }

  text(x: number, y: number, words: string, kind = "", anchor = "start"): SVGElement {
    return svg("text", { x, y, class: kind, "font-size": 12.5 * this.px, "text-anchor": anchor }, words);
  }

  // label stands beside a place, on the side where the room is.
  label(x: number, y: number, words: string, kind = ""): SVGElement {
    const right = x > this.hall().width / 2 - (7 * words.length + 12) * this.px;
    return this.text(x + (right ? -9 : 9) * this.px, -y - 8 * this.px, words, kind, right ? "end" : "start");
  }

  area(a: Area, kind: string, name: string): SVGElement[] {
    const [l, t] = [Math.min(a.left, a.right), -Math.max(a.near, a.far)], w = Math.abs(a.right - a.left), d = Math.abs(a.far - a.near);
    return [svg("rect", { class: kind, x: l, y: t, width: w, height: d, "stroke-width": 1.3 * this.px }), this.text(l + 7 * this.px, t + 15 * this.px, name, "soft")];
  }

  #handle(s: Spot): SVGElement {
    const x = s.x, y = -s.y, u = this.px, shape = {
      corner: (): SVGElement => svg("rect", { x: x - 5 * u, y: y - 5 * u, width: 10 * u, height: 10 * u }),
      edge: (): SVGElement => svg("rect", { x: x - 7 * u, y: y - 7 * u, width: 14 * u, height: 14 * u, rx: 7 * u }),
      aim: (): SVGElement => svg("path", { d: `M${x - 7 * u} ${y}h${14 * u}M${x} ${y - 7 * u}v${14 * u}`, class: "cross" }),
      dot: (): SVGElement => svg("circle", { cx: x, cy: y, r: 6 * u }),
    }[s.look ?? "dot"]();
    shape.setAttribute("stroke-width", String(1.5 * u));
    return svg("g", { class: `handle ${s.look ?? "dot"}`, tabindex: 0, role: "button", "aria-roledescription": "handle that arrow keys move", "aria-label": `${s.name}: ${where(s.x, s.y)}`, "data-spot": s.key },
      svg("circle", { class: "reach", cx: x, cy: y, r: 13 * u }), shape);
  }

  #spot(key: string | undefined): Spot | undefined { return this.layer.spots().find((s) => s.key === key); }

  // at is where a pointer is, m.
  #at(e: PointerEvent): readonly [number, number] {
    const m = this.element.getScreenCTM()?.inverse();
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(m);
    return [p.x, -p.y];
  }

  #take(e: PointerEvent): void {
    const key = (e.target as Element).closest<SVGElement>("[data-spot]")?.dataset["spot"], s = this.#spot(key);
    if (!s || e.button !== 0) return;
    e.preventDefault();
    this.element.querySelector<SVGElement>(`[data-spot="${CSS.escape(s.key)}"]`)?.focus();
    const [fx, fy] = this.#at(e), { x, y } = s;
    let moved = false;
    this.moving = true;
    const move = (n: PointerEvent): void => {
      const [tx, ty] = this.#at(n);
      moved ||= Math.abs(tx - fx) + Math.abs(ty - fy) > 2 * this.px;
      if (!moved) return;
      s.to(snap(x + tx - fx), snap(y + ty - fy));
      this.draw();
    };
    const end = (): void => {
      removeEventListener("pointermove", move);
      removeEventListener("pointerup", end);
      removeEventListener("pointercancel", end);
      this.moving = false;
      this.draw();
      if (moved) this.layer.done();
    };
    addEventListener("pointermove", move);
    addEventListener("pointerup", end);
    addEventListener("pointercancel", end);
  }

  #key(e: KeyboardEvent): void {
    const s = this.#spot((e.target as SVGElement).dataset["spot"]), step = e.shiftKey ? 0.5 : 0.1;
    const by = ({ ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] } as Record<string, readonly [number, number]>)[e.key];
    if (!s || !by) return;
    e.preventDefault();
    s.to(snap(s.x + by[0]), snap(s.y + by[1]));
    this.draw();
    const now = this.#spot(s.key);
    if (now) this.said.textContent = `${now.name}: ${where(now.x, now.y)}`;
    clearTimeout(this.#timer); // what is written is where it comes to rest
    this.moving = true;
    this.#timer = window.setTimeout(() => { this.moving = false; this.draw(); this.layer.done(); }, 400);
  }
}

// corners are the handles of an area: its middle moves all of it.
export function corners(key: string, name: string, a: { -readonly [K in keyof Area]: Area[K] }): Spot[] {
  const one = (side: string, x: "left" | "right", y: "near" | "far"): Spot => ({ key: `${key} ${side}`, name: `${name}, ${side}`, look: "corner", x: a[x], y: a[y], to: (to, ty) => { a[x] = to; a[y] = ty; } });
  const mx = (a.left + a.right) / 2, my = (a.near + a.far) / 2;
  return [one("near left", "left", "near"), one("near right", "right", "near"), one("far left", "left", "far"), one("far right", "right", "far"),
    { key: `${key} all`, name: `${name}, all of it`, x: mx, y: my, to: (x, y) => { for (const k of ["left", "right"] as const) a[k] = snap(a[k] + x - mx); for (const k of ["near", "far"] as const) a[k] = snap(a[k] + y - my); } }];
}
