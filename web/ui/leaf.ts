// One leaf of the book: a minute of the show, all its columns side by side.
import type { Cue, Finding } from "./api";
import { card } from "./cards";
import { clock } from "./clock";
import type { Light } from "./data";
import { h, place, svg } from "./dom";
import { remark } from "./margin";
import { remarkable, timed, type Model } from "./model";
import { paint } from "./ribbons";
import { drawClock, drawSound } from "./sound";
import { spread } from "./spread";

// Sizes in CSS pixels; the style sheet takes them from custom properties.
export type Sizes = {
  scale: number; clock: number; sound: number; gutter: number; marks: number; ribbon: number; ribbonGap: number;
  merged: boolean; // remarks stand among the cards: the page is too narrow for a margin
};

export const leafSeconds = 60;

type Block = { at: number; to: number; element: HTMLElement };

const tallness = (b: Block): number => b.element.getBoundingClientRect().height;

export class Leaf {
  readonly element: HTMLElement;
  readonly from: number;
  readonly to: number;
  #filled = false;
  #canvas: HTMLCanvasElement | undefined;
  #light: Uint8Array | undefined;

  constructor(private readonly model: Model, private readonly light: Light, private readonly sizes: Sizes, readonly index: number, length: number) {
    this.from = index * leafSeconds;
    this.to = Math.min(this.from + leafSeconds, Math.max(length, this.from + 1));
    this.element = h("section", { class: "leaf", "aria-label": `${clock(this.from)} to ${clock(this.to)}`, "data-leaf": index });
    this.element.style.height = `${this.#height}px`;
  }

  get #height(): number {
    return (this.to - this.from) * this.sizes.scale;
  }

  #y(t: number): number {
    return (t - this.from) * this.sizes.scale;
  }

  // fill builds the leaf, once.
  fill(): void {
    if (this.#filled) return;
    this.#filled = true;
    const { model, sizes } = this;
    const stretch = { from: this.from, to: this.to, scale: sizes.scale };
    const cues = h("div", { class: "cues" }), margin = h("div", { class: "margin" });
    this.#canvas = h("canvas", { role: "img", "aria-label": this.#ribbonWords() });
    this.element.replaceChildren(
      drawClock(model, stretch, sizes.clock), drawSound(model, stretch, sizes.sound), cues,
      h("div", { class: "light" }, this.#canvas), margin,
      h("p", { class: "folio" }, String(this.index + 1)));
    this.#setCards(cues, margin);
    void this.#shine();
  }

  drop(): void {
    if (!this.#filled) return;
    this.#filled = false;
    this.#canvas = undefined;
    this.element.replaceChildren();
  }

  async fetch(): Promise<void> {
    this.#light = await this.light.piece(this.from, this.to);
  }

  async #shine(): Promise<void> {
    await this.fetch();
    this.#paint(Math.min(2, devicePixelRatio || 1));
  }

  #paint(sharp: number): void {
    const { sizes } = this;
    if (!this.#canvas || !this.#light) return;
    paint(this.#canvas, this.#light, this.model.show.ribbons, { width: sizes.ribbon, gap: sizes.ribbonGap, height: this.#height }, sizes.scale, sharp);
  }

  #ribbonWords(): string {
    return "computed light of " + this.model.show.ribbons.map((r) => r.name + (r.dark ? " (glow)" : "")).join(", ");
  }

  #mine<T extends { at: number }>(list: T[]): T[] {
    return list.filter((x) => x.at >= this.from && x.at < this.to);
  }

  #setCards(cues: HTMLElement, margin: HTMLElement): void {
    const show = this.model.show;
    const cards: Block[] = this.#mine(show.cues.map((c) => ({ at: Math.max(0, c.moment), to: c.complete, cue: c })))
      .map(({ at, to, cue }) => ({ at, to, element: card(cue, this.model.look(cue), this.model.swatches[cue.look], show.ribbons) }));
    const remarks: Block[] = this.#mine(show.findings.filter((f) => timed(f, show.length) && remarkable(f)).map((f) => ({ at: f.from, to: f.to, f })))
      .map(({ at, to, f }) => ({ at, to, element: remark(f, false) }));
    if (this.sizes.merged) this.#stand(cues, [...cards, ...remarks].sort((a, b) => a.at - b.at), "lead");
    else {
      this.#stand(cues, cards, "lead");
      this.#stand(margin, remarks, "bracket");
    }
    this.#drawFades(cues, show.cues);
    if (!this.sizes.merged) this.#drawBrackets(margin, show.findings);
  }

  // stand puts blocks beside their seconds, in short form where a leaf is full,
  // and leads a line from the second to the block.
  #stand(column: HTMLElement, blocks: Block[], lead: string): void {
    if (!blocks.length) return;
    column.append(...blocks.map((b) => b.element));
    const room = this.#height;
    const gap = 5;
    for (const form of ["short", "line"]) {
      const tall = (): number => blocks.reduce((sum, b) => sum + tallness(b) + gap, 0);
      if (tall() <= room) break;
      // Crowded neighbours shorten first: those with least room to the next.
      const tight = blocks.map((b, i) => ({ b, free: (blocks[i + 1]?.at ?? Infinity) - b.at })).sort((a, b) => a.free - b.free);
      let over = tall() - room;
      for (const { b } of tight) {
        if (over <= 0) break;
        const was = tallness(b);
        b.element.classList.add(form);
        over -= was - tallness(b);
      }
    }
    const anchor = (b: Block): number => (b.element.classList.contains("remark") ? 11 : 14);
    const tops = spread(blocks.map((b) => ({ want: this.#y(b.at) - anchor(b), size: tallness(b) })), room, gap);
    const gutter = this.sizes.gutter;
    let d = "";
    blocks.forEach((b, i) => {
      const top = tops[i] ?? 0;
      place(b.element, { top: `${top}px` });
      const a = this.#y(b.at), z = top + Math.min(anchor(b), tallness(b) / 2);
      d += `M0 ${a.toFixed(1)}h3L${gutter - 5} ${z.toFixed(1)}H${gutter}`;
    });
    column.prepend(svg("svg", { class: lead, width: gutter, height: room, "aria-hidden": "true" }, svg("path", { d })));
  }

  // drawFades draws how long each cue takes: a line from its first change to
  // its last, thick while it rises, a dot where it lands.
  #drawFades(column: HTMLElement, cues: readonly Cue[]): void {
    const width = this.sizes.marks;
    if (!width) return;
    const g = svg("svg", { class: "fades", width, height: this.#height, "aria-hidden": "true" });
    const free: number[] = [];
    for (const c of cues) {
      if (c.start >= this.to || c.complete < this.from) continue;
      let lane = free.findIndex((end) => end <= c.start);
      if (lane < 0) lane = free.push(0) - 1;
      free[lane] = c.complete;
      const x = width - 5 - 5 * Math.min(lane, 3);
      const cut = (t: number): number => Math.min(Math.max(this.#y(t), 0), this.#height);
      g.append(svg("path", { class: "falls", d: `M${x} ${cut(c.start)}V${cut(c.complete)}` }), svg("path", { class: "rises", d: `M${x} ${cut(c.start)}V${cut(c.peak)}` }));
      if (c.moment >= this.from && c.moment < this.to) g.append(svg("circle", { cx: x, cy: this.#y(c.moment), r: 2.4 }));
    }
    column.append(g);
  }

  #drawBrackets(margin: HTMLElement, findings: readonly Finding[]): void {
    const g = svg("svg", { class: "spans", width: 10, height: this.#height, "aria-hidden": "true" });
    for (const f of findings) {
      if (!timed(f, this.model.show.length) || !remarkable(f) || f.from >= this.to || f.to < this.from) continue;
      const a = Math.max(this.#y(f.from), 0), b = Math.min(Math.max(this.#y(f.to), a + 3), this.#height);
      const x = { stop: 1.5, warn: 4.5, note: 7.5 }[f.severity] ?? 7.5;
      g.append(svg("path", { class: f.severity, d: `M${x + 2} ${a}H${x}V${b}h2` }));
    }
    margin.append(g);
  }
}
