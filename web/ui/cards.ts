// Cue cards: one hand-sized card for each cue.
import type { Cue, Ribbon, Sketch } from "./api";
import { clock, span, tenths } from "./clock";
import { h, place } from "./dom";

// landing says in words how the cue meets its moment.
export function landing(c: Cue): string {
  const verb = { starts: "starts", peaks: "peaks", completes: "is complete" }[c.lands] ?? c.lands;
  return `${verb} ${c.on ? "on " + tenths(c.on) : "at " + clock(c.moment, 1)}`;
}

export function timing(c: Cue): string {
  const parts: string[] = [];
  if (c.delay) parts.push(`delay ${span(c.delay)}`);
  if (c.bump) parts.push(c.up ? `up ${span(c.up)}` : "at once", ...(c.hold ? [`holds ${span(c.hold)}`] : []), `falls back ${span(c.returns)}`);
  else if (c.up === c.down) parts.push(c.up ? `over ${span(c.up)}` : "at once");
  else parts.push(`up ${span(c.up)}`, `down ${span(c.down)}`);
  return parts.join(", ");
}

export function card(c: Cue, look: Sketch | undefined, swatch: Uint8Array | undefined, ribbons: readonly Ribbon[]): HTMLElement {
  const doubt = !c.found ? "its moment was not found" : Math.abs(c.offBy) > 0.05 ? `its moment lies ${span(Math.abs(c.offBy))} ${c.offBy > 0 ? "later" : "earlier"} than written` : "";
  return h("article", { class: "card" + (c.bump ? " bump" : "") + (c.by === "draft" ? " draft" : ""), "data-cue": c.number, "aria-label": `cue ${c.number}, ${look?.name ?? ""}, ${clock(c.start, 1)}` },
    edge(swatch, ribbons),
    h("p", { class: "first" },
      h("span", { class: "number" }, c.number),
      h("span", { class: "look" }, look?.name ?? "no look"),
      h("time", {}, clock(c.start, 1))),
    h("p", { class: "how" }, `${timing(c)}; ${landing(c)}${c.by === "draft" ? "; drafted" : ""}`),
    (c.why || look?.purpose) && h("p", { class: "why" }, c.why || look?.purpose),
    doubt && h("p", { class: "doubt" }, doubt));
}

// edge paints the look's lights along the card's edge, as tall as they are bright.
export function edge(swatch: Uint8Array | undefined, ribbons: readonly Ribbon[]): HTMLElement {
  const e = h("span", { class: "edge", "aria-hidden": "true" });
  ribbons.forEach((_, i) => {
    const [r, g, b, level] = swatch?.subarray(4 * i, 4 * i + 4) ?? [];
    if (!level) return;
    e.append(place(h("i"), { flexGrow: String(level / 255), background: `rgb(${r} ${g} ${b})`, opacity: String(0.35 + (0.65 * level) / 255) }));
  });
  return e;
}
