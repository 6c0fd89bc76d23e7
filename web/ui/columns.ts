// The columns of the book: how wide they are, and their heads.
import { h } from "./dom";
import type { Sizes } from "./leaf";
import type { Model } from "./model";

// The scales of the page, px a second: from an hour in a window to 50 ms a line.
export const scales: readonly number[] = [0.2, 0.5, 1.5, 4, 12, 30, 80, 200, 400];

export const usual = 4; // in scales

// leafSeconds is how long a leaf is at a scale: about as tall as a window at most.
const leafSeconds = (scale: number): number => [1800, 600, 300, 120, 60, 20, 5, 2].find((s) => s * scale <= 720) ?? 1;

// The column widths; book.css has the same ones for the grid. Zoom is the place in scales.
export function sizes(model: Model, zoom = usual): Sizes {
  const n = model.show.ribbons.length;
  const narrow = innerWidth < 760, middle = innerWidth < 1180, scale = (scales[zoom] ?? 12) * (narrow ? 10 / 12 : 1);
  return {
    scale, leaf: leafSeconds(scale),
    clock: narrow ? 40 : 64,
    sound: narrow ? 44 : 96,
    gutter: narrow ? 16 : 30,
    marks: narrow ? 0 : 24,
    ribbon: Math.max(5, narrow ? Math.min(12, Math.floor(84 / Math.max(n, 1)) - 2) : Math.min(26, Math.floor((middle ? 145 : 205) / Math.max(n, 1)) - 3)),
    ribbonGap: narrow ? 2 : 3,
    merged: narrow,
  };
}

export function heads(model: Model): HTMLElement {
  return h("div", { class: "heads", "aria-hidden": "true" },
    h("span", {}, "time"), h("span", {}, "sound"), h("span", { class: "cue-head" }, "cues"),
    h("span", { class: "light-heads" }, ...model.show.ribbons.map((r) => h("span", { class: r.dark ? "dark" : "" }, h("span", {}, r.dark ? r.name + " glow" : r.name)))),
    h("span", { class: "margin-head" }, "remarks"));
}
