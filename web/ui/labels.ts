// Names beside marks of a drawing, where room is left: none lies over another, and what finds none is left out.
import { svg } from "./dom";
import type { Sheet } from "./sheet";

export type Label = { text: string; at: readonly [number, number]; first?: boolean };

// letters are as high as this on the page, px.
const letters = 12;

// labelled makes the names in a sheet.
export function labelled(list: readonly Label[], sheet: Sheet): SVGGElement {
  const unit = 100 * sheet.pixel, box = sheet.element.viewBox.baseVal;
  const g = svg("g", { class: "names", "aria-hidden": "true" }), size = letters * unit, taken: [number, number, number, number][] = [];
  const gap = size * 1.1;
  for (const { at: [x, y] } of list) taken.push([x - gap / 2, y - gap / 2, x + gap / 2, y + gap / 2]);
  for (const l of [...list].sort((a, b) => Number(!!b.first) - Number(!!a.first))) {
    const long = l.text.length * size * 0.5, [x, y] = l.at;
    const spots: [number, number, number, number][] = [[x + gap, y - size / 2, x + gap + long, y + size / 2], [x - gap - long, y - size / 2, x - gap, y + size / 2], [x - long / 2, y - gap - size, x + long / 2, y - gap], [x - long / 2, y + gap, x + long / 2, y + gap + size]];
    const spot = spots.find((s) => s[0] >= box.x && s[2] <= box.x + box.width && !taken.some((t) => s[0] < t[2] && t[0] < s[2] && s[1] < t[3] && t[1] < s[3]));
    if (!spot) continue;
    taken.push(spot);
    g.append(svg("text", { x: spot[0].toFixed(1), y: (spot[3] - size * 0.2).toFixed(1), "font-size": size.toFixed(1), class: l.first ? "first" : "" }, l.text));
  }
  return g;
}
