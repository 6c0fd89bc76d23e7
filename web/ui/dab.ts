// How lamps shine, as a dab.
import type { Lamp } from "./api";
import { svg } from "./dom";
import { sliderOf } from "./hue";

// dab is how some lamps shine: in their own colour, wider where brighter.
export function dab(lamps: readonly Lamp[]): SVGSVGElement {
  const lit = lamps.filter((l) => l.level > 0), level = Math.max(0, ...lamps.map((l) => l.level)), dark = Math.max(0, ...lamps.map((l) => l.dark));
  const e = svg("svg", { viewBox: "0 0 26 26", "aria-hidden": "true", class: "dab" }, svg("circle", { class: "ground", cx: 13, cy: 13, r: 12.5 }));
  if (level > 0) e.append(svg("circle", { cx: 13, cy: 13, r: 1.5 + 9.5 * sliderOf(level) / 100, fill: lit[0]?.colour || "#fff" }));
  if (dark > 0) e.append(svg("circle", { cx: 13, cy: 13, r: 12, class: "black", "stroke-opacity": 0.25 + 0.75 * sliderOf(dark) / 100 }));
  return e;
}
