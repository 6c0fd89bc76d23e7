// Small drawings of colour: the CIE 1976 diagram and the spectrum of an emitter.
import { svg } from "./dom";

export type Spot = { u: number; v: number; colour: string; size: number; name: string };

export function diagram(locus: readonly (readonly [number, number])[], spots: readonly Spot[]): SVGSVGElement {
  const at = (u: number, v: number): string => `${u.toFixed(4)} ${(0.62 - v).toFixed(4)}`;
  return svg("svg", { class: "diagram", viewBox: "-0.02 0 0.68 0.64", role: "img", "aria-label": "CIE 1976 diagram: " + (spots.map((s) => `${s.name} u′ ${s.u} v′ ${s.v}`).join("; ") || "dark") },
    svg("path", { class: "edge", d: "M" + locus.map(([u, v]) => at(u, v)).join("L") + "Z" }),
    svg("path", { class: "white", d: "M.1878 .1517h.02M.1978 .1417v.02" }), // D65: u' 0.1978, v' 0.4683
    ...spots.map((s) => svg("circle", { class: "spot", cx: s.u, cy: 0.62 - s.v, r: 0.012 + 0.022 * s.size, fill: s.colour }, svg("title", {}, s.name))));
}

// spectrum draws relative power every 5 nm from 300 to 780 nm.
export function spectrum(values: readonly number[], colour: string, name: string): SVGSVGElement {
  const d = values.map((v, i) => `L${i} ${(24 - 23 * v).toFixed(1)}`).join("");
  const nm = (w: number): number => (w - 300) / 5;
  return svg("svg", { class: "spectrum", viewBox: "0 0 96 26", preserveAspectRatio: "none", role: "img", "aria-label": `spectrum of ${name}, 300 nm to 780 nm` },
    svg("path", { d: `M0 24.5H96M${nm(400)} 24v2M${nm(500)} 24v2M${nm(600)} 24v2M${nm(700)} 24v2`, stroke: "#a89d8b", "stroke-width": 0.6 }),
    svg("path", { d: `M0 24${d}L96 24Z`, fill: colour, class: "shape" }));
}
