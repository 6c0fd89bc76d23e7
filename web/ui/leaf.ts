// One leaf of the book: a minute of the show, all its columns side by side.
import { card } from "./cards";
import { clock } from "./clock";
import type { Cue, Finding } from "./api";
import type { Light } from "./data";
import { h, place, svg } from "./dom";
import { remark } from "./margin";
import { grave, remarkable, type Model } from "./model";
import { most } from "./more";
import type { Pace } from "./pace";
import { sharp } from "./pixels";
import { paint } from "./ribbons";
import { drawClock, drawMoments, paintSound, type Stretch } from "./sound";
import { Spans, spanSeconds, type Moment, type Piece, type Sound } from "./spans";
import { stand, type Block } from "./stand";

// Sizes in CSS pixels; the style sheet takes them from custom properties.
export type Sizes = {
  scale: number; leaf: number; // s that a leaf is long
  clock: number; sound: number; gutter: number; marks: number; ribbon: number; ribbonGap: number;
  merged: boolean; // remarks stand among the cards: the page is too narrow for a margin
};

// patience is how long nothing is shown of a leaf out of sight that is on its way.
const patience = 80; // ms

// Wide is what stands beside a leaf.
type Wide = { sounds: readonly Sound[]; moments: readonly Moment[]; cues: readonly Cue[]; findings: readonly Finding[] };

// cardLine is how tall a card in its shortest form stands, px.
const cardLine = 30;

// fewer are so many of the cues: those that stay before those that fall back, and of these the longest.
function fewer(cues: readonly Cue[], most: number): Cue[] {
  const order = [...cues].sort((a, b) => Number(a.bump) - Number(b.bump) || b.complete - b.start - (a.complete - a.start));
  const keep = new Set(order.slice(0, Math.max(0, most)));
  return cues.filter((c) => keep.has(c));
}

export class Leaf {
  readonly element: HTMLElement;
  readonly from: number;
  readonly to: number;
  #wanted = false;
  #most = most; // remarks that stand
  #turn = 0; // rises as it is filled and dropped, so that what comes late knows that it is

  constructor(private model: Model, private light: Light, private readonly pace: Pace, private readonly sizes: Sizes, readonly index: number) {
    this.from = index * sizes.leaf;
    this.to = Math.min(this.from + sizes.leaf, Math.max(model.show.length, this.from + Math.min(1, sizes.leaf)));
    this.element = h("section", { class: "leaf" + (sizes.scale < 6 ? " far" : ""), "aria-label": `${clock(this.from)} to ${clock(this.to)}`, "data-leaf": index });
    place(this.element, { height: `${this.#height}px`, top: `${this.from * sizes.scale}px` });
  }

  get #height(): number {
    return (this.to - this.from) * this.sizes.scale;
  }

  get #stretch(): Stretch {
    return { from: this.from, to: this.to, scale: this.sizes.scale };
  }

  #y(t: number): number {
    return (t - this.from) * this.sizes.scale;
  }

  // wanted tells whether the leaf stands in the document.
  get wanted(): boolean {
    return this.#wanted;
  }

  // fill fills the leaf: first with what is known of it, then with all as it comes. What nobody
  // sees yet waits a moment for the whole.
  fill(near: () => number): void {
    if (this.#wanted) return;
    this.#wanted = true;
    const turn = ++this.#turn;
    const sketch = (): void => { if (this.#turn === turn && !this.element.dataset["is"]) this.#sketch(); };
    if (this.#seen(near)) sketch();
    else setTimeout(sketch, patience);
    this.#ask(near, turn);
  }

  // renew goes over to another edition of the show; what stood stays until that has come.
  renew(model: Model, light: Light, near: () => number): void {
    [this.model, this.light] = [model, light];
    if (this.#wanted) this.#ask(near, ++this.#turn);
  }

  #seen(near: () => number): boolean {
    return near() < (this.#height + innerHeight) / 2;
  }

  // ask fetches what stands here, and builds it as that comes, unless the leaf was turned since.
  #ask(near: () => number, turn: number): void {
    const still = (): boolean => this.#turn === turn;
    const work = (steps: Iterator<void>): Promise<void> => new Promise((done) => {
      this.pace.take(this, steps, near, done);
      if (this.#seen(near)) this.pace.now(this);
    });
    const build = async (): Promise<void> => {
      const [piece, light] = await Promise.all([this.#piece(), this.light.piece(this.from, this.to)]);
      const tiles: Promise<HTMLImageElement>[] = [];
      if (still()) await work(this.#tiles(piece, light, tiles));
      const [heard, lit] = await Promise.all(tiles);
      if (still() && heard && lit) await work(this.#whole(piece, heard, lit));
    };
    build().catch(() => { if (still()) this.#fail(near); });
  }

  // piece is all that stands beside the leaf: of one span, or of several.
  async #piece(): Promise<Wide> {
    const spans: Promise<Piece>[] = [];
    for (let i = Spans.of(this.from); i * spanSeconds < this.to; i++) spans.push(this.model.spans.ask(i));
    const all = await Promise.all(spans);
    const once = <T>(list: readonly T[], key: (x: T) => string): T[] => [...new Map(list.map((x) => [key(x), x])).values()];
    return {
      sounds: all.map((p) => p.sound), moments: all.length === 1 ? all[0]?.moments ?? [] : once(all.flatMap((p) => p.moments), (m) => `${m.kind} ${m.time}`),
      cues: once(all.flatMap((p) => p.cues), (c) => c.number), findings: once(all.flatMap((p) => p.findings), (f) => `${f.id} ${f.place} ${f.from}`),
    };
  }

  drop(): void {
    if (!this.#wanted) return;
    this.#wanted = false;
    this.#turn++;
    this.pace.leave(this);
    delete this.element.dataset["is"];
    this.element.remove();
    this.element.replaceChildren();
  }

  // sketch is the leaf by its cues' names alone, with what is on its way.
  #sketch(): void {
    const { model } = this, cues = h("div", { class: "cues" });
    for (const c of model.cues) {
      const at = Math.max(0, c.moment);
      if (at < this.from || at >= this.to) continue;
      cues.append(place(h("p", { class: "sketch", "data-cue": c.number }, h("b", {}, c.number), " ", h("i", {}, model.look(c)?.name ?? "no look"), " ", h("time", {}, clock(c.start, 1))), { top: `${this.#y(at) - 10}px` }));
    }
    this.element.replaceChildren(h("p", { class: "waits" }, `${clock(this.from)}: sound, light and remarks of this ${this.sizes.leaf === 60 ? "minute" : "stretch"} are on their way`), cues);
    this.element.dataset["is"] = "sketch";
  }

  #fail(near: () => number): void {
    const again = h("button", { type: "button", click: () => { this.drop(); this.fill(near); } }, "ask again");
    this.element.querySelector(".waits")?.replaceChildren("This minute did not arrive: is the program still there? ", again);
    this.element.dataset["is"] = "failed";
  }

  // tiles paints the sound and the light.
  *#tiles(piece: Wide, light: Uint8Array, into: Promise<HTMLImageElement>[]): Generator<void> {
    const { sizes, model } = this;
    into.push(paintSound(piece.sounds, this.#stretch, sizes.sound, sharp()).tile(""));
    yield;
    into.push(paint(light, this.light.step, model.show.ribbons, { width: sizes.ribbon, gap: sizes.ribbonGap, height: this.#height }, sizes.scale, sharp()).tile(this.#ribbonWords()));
  }

  // whole builds the leaf beside its sketch, and puts it in the sketch's place at the end.
  *#whole(piece: Wide, heard: HTMLImageElement, lit: HTMLImageElement): Generator<void> {
    const { sizes } = this, s = this.#stretch;
    const cues = h("div", { class: "cues" }), margin = h("div", { class: "margin" });
    const moments = drawMoments(piece.moments, s, sizes.sound);
    yield;
    const marks = drawClock(piece, s, sizes.clock);
    yield;
    const cards = this.#cards(piece);
    yield;
    const remarks = this.#remarks(piece, () => { for (const _ of this.#whole(piece, heard, lit)); });
    yield;
    if (sizes.merged) cards.push(...remarks.splice(0));
    cards.sort((a, b) => a.at - b.at);
    cues.append(...cards.map((b) => b.element), this.#fades(piece));
    margin.append(...remarks.map((b) => b.element));
    if (!sizes.merged) margin.append(this.#brackets(piece));
    this.element.replaceChildren(marks, h("div", { class: "heard" }, heard, moments), cues, h("div", { class: "light" }, lit), margin, h("p", { class: "folio" }, String(this.index + 1)));
    for (const [column, blocks, lead] of [[cues, cards, "lead"], [margin, remarks, "bracket"]] as const) stand(column, blocks, (t) => this.#y(t), this.#height, sizes.gutter, lead);
    this.element.dataset["is"] = "whole";
    this.element.dispatchEvent(new Event("whole", { bubbles: true }));
  }

  #ribbonWords(): string {
    return "computed light of " + this.model.show.ribbons.map((r) => r.name + (r.dark ? " (glow)" : "")).join(", ");
  }

  #mine(t: number): boolean {
    return t >= this.from && t < this.to;
  }

  #cards(piece: Wide): Block[] {
    const { model } = this, mine = piece.cues.filter((c) => this.#mine(Math.max(0, c.moment)));
    const room = Math.max(1, Math.floor(this.#height / cardLine)), shown = mine.length > room ? fewer(mine, room - 1) : mine;
    const out: Block[] = shown.map((c) => ({ at: Math.max(0, c.moment), anchor: 14, element: card(c, model.look(c), model.swatches[c.look], model.show.ribbons) }));
    if (shown.length < mine.length) out.push({ at: this.to - 1e-6, anchor: 11, element: h("p", { class: "fewer" }, `${mine.length - shown.length} more cues here: come nearer by +`) });
    return out;
  }

  // remarks are the gravest of the minute, in the order of time; the rest opens in its place.
  #remarks(piece: Wide, more: () => void): Block[] {
    const all = piece.findings.filter((f) => remarkable(f) && this.#mine(f.from));
    const shown = new Set([...all].sort((a, b) => grave(a) - grave(b)).slice(0, this.#most));
    const out: Block[] = all.filter((f) => shown.has(f)).sort((a, b) => a.from - b.from).map((f) => ({ at: f.from, anchor: 11, element: remark(f, false) }));
    if (all.length > shown.size) {
      const button = h("button", { type: "button", class: "more", click: () => { this.#most = Infinity; more(); } }, `${all.length - shown.size} more in this minute`);
      out.push({ at: out.at(-1)?.at ?? this.from, anchor: 11, element: h("div", { class: "remark" }, button) });
    }
    return out;
  }

  // fades draws how long each cue takes: a line from its first change to
  // its last, thick while it rises, a dot where it lands.
  #fades(piece: Wide): SVGSVGElement | string {
    const width = this.sizes.marks;
    if (!width) return "";
    const g = svg("svg", { class: "fades", width, height: this.#height, "aria-hidden": "true" });
    const free: number[] = [];
    for (const c of piece.cues) {
      if (c.start >= this.to || c.complete < this.from) continue;
      let lane = free.findIndex((end) => end <= c.start);
      if (lane < 0) lane = free.push(0) - 1;
      free[lane] = c.complete;
      const x = width - 5 - 5 * Math.min(lane, 3);
      const cut = (t: number): number => Math.min(Math.max(this.#y(t), 0), this.#height);
      g.append(svg("path", { class: "falls", d: `M${x} ${cut(c.start)}V${cut(c.complete)}` }), svg("path", { class: "rises", d: `M${x} ${cut(c.start)}V${cut(c.peak)}` }));
      if (this.#mine(c.moment)) g.append(svg("circle", { cx: x, cy: this.#y(c.moment), r: 2.4 }));
    }
    return g;
  }

  #brackets(piece: Wide): SVGSVGElement {
    const g = svg("svg", { class: "spans", width: 10, height: this.#height, "aria-hidden": "true" });
    for (const f of piece.findings) {
      if (!remarkable(f) || f.from >= this.to || f.to < this.from) continue;
      const a = Math.max(this.#y(f.from), 0), b = Math.min(Math.max(this.#y(f.to), a + 3), this.#height);
      const x = { stop: 1.5, warn: 4.5, note: 7.5 }[f.severity] ?? 7.5;
      g.append(svg("path", { class: f.severity, d: `M${x + 2} ${a}H${x}V${b}h2` }));
    }
    return g;
  }
}
