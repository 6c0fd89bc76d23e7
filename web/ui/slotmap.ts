// The slots of each universe as eight rules, 64 to a rule, with the units that listen above them. Units that share slots
// stand one above the other.
import { h, svg } from "./dom";
import type { Span } from "./slots";

const across = 64, step = 10, high = 15, gap = 20; // units of the drawing

type Bar = { from: number; to: number; level: number; span: Span; first: boolean };

// levels puts units that share slots one above the other.
function levels(spans: readonly Span[]): { span: Span; level: number }[] {
  const out: { span: Span; level: number }[] = [];
  for (const span of [...spans].sort((a, b) => a.from - b.from)) {
    const taken = new Set(out.filter((o) => o.span.from <= span.to && span.from <= o.span.to).map((o) => o.level));
    let level = 0;
    while (taken.has(level)) level++;
    out.push({ span, level });
  }
  return out;
}

export class SlotMap {
  readonly element = h("div", { class: "slotmap" });

  constructor(private readonly chosen: (unit: string) => void) {}

  show(spans: readonly Span[]): void {
    const universes = [...new Set(spans.map((s) => s.universe))].sort((a, b) => a - b);
    this.element.replaceChildren(...universes.map((u) => this.#universe(u, spans.filter((s) => s.universe === u))));
  }

  #universe(n: number, spans: readonly Span[]): HTMLElement {
    const placed = levels(spans), used = new Set<number>();
    for (const s of spans) for (let i = s.from; i <= s.to; i++) used.add(i);
    const end = Math.max(across, Math.ceil(Math.max(...spans.map((s) => s.to)) / across) * across), lines = Math.min(8, end / across);
    const e = svg("svg", { class: "rules", role: "img", "aria-label": `slots of universe ${n}: ${spans.map((s) => `${s.unit} ${s.from} to ${s.to}`).join(", ")}` });
    let y = 6;
    for (let line = 0; line < lines; line++) {
      const bars = this.#bars(placed, line), deep = Math.max(0, ...bars.map((b) => b.level));
      y += deep * high + gap;
      this.#rule(e, line, y);
      for (const b of bars) e.append(this.#bar(b, line, y, Math.min(line * across + across + 1, ...bars.filter((o) => o.level === b.level && o.from > b.from).map((o) => o.from))));
      y += 14;
    }
    e.setAttribute("viewBox", `-2 0 ${across * step + 4} ${y}`);
    return h("figure", {}, h("figcaption", {}, `universe ${n}: ${used.size} of 512 slots` + (lines < 8 ? `; nothing listens from ${end + 1} on` : "")), e);
  }

  #bars(placed: readonly { span: Span; level: number }[], line: number): Bar[] {
    const low = line * across + 1, top = low + across - 1;
    return placed.filter(({ span }) => span.from <= top && span.to >= low).map(({ span, level }) => ({ from: Math.max(span.from, low), to: Math.min(span.to, top), level, span, first: span.from >= low }));
  }

  #rule(e: SVGSVGElement, line: number, y: number): void {
    e.append(svg("path", { class: "rule", d: `M0 ${y}H${across * step}` }));
    for (let i = 0; i <= across; i += 8) {
      e.append(svg("path", { class: "rule", d: `M${i * step} ${y}v${i % 16 ? 2 : 4}` }));
      if (i % 16 === 0 && i < across) e.append(svg("text", { x: i * step + 2, y: y + 10 }, String(line * across + i + 1)));
    }
  }

  // bar is one unit on a rule; its name goes on beside it, as far as the next one.
  #bar(b: Bar, line: number, y: number, next: number): SVGElement {
    const x = (b.from - line * across - 1) * step, wide = (b.to - b.from + 1) * step, name = b.span.unit, letter = 5;
    const inside = name.length * letter + 5 < wide, from = inside || wide > 40 ? 3 : wide + 3, fits = Math.floor(((inside || wide > 40 ? wide : (next - b.from) * step) - from - 2) / letter);
    const g = svg("g", { class: b.level ? "bar clash" : "bar", click: () => this.chosen(name) }, svg("title", {}, `${name}: ${b.span.from} to ${b.span.to}`),
      svg("rect", { x: x + 0.5, y: y - (b.level + 1) * high + 1, width: wide - 1, height: high - 2 }));
    if (b.first && fits > 2) g.append(svg("text", { x: x + from, y: y - b.level * high - 4 }, name.length > fits ? name.slice(0, fits - 1) + "…" : name));
    return g;
  }
}
