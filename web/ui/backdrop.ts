// What stands in the room, behind what is dragged.
import type { Room } from "./api";
import { svg } from "./dom";
import { plus, type Box, type P3, type Sheet } from "./sheet";

// boxOf is the inside of a room, from its size and the edge of its stage.
export function boxOf(room: Room): Box {
  const [w, d, up] = room.size;
  return { low: [-w / 2, -room.front, 0], high: [w / 2, d - room.front, up] };
}

// backdrop draws what stands in the room, and where eyes are.
export function backdrop(s: Sheet, room: Room): void {
  const g = svg("g", { class: "still" });
  for (const p of room.panels) {
    if (p.kind === "wall" || p.back) continue;
    const to = (x: number, y: number): P3 => plus(plus(p.corner as P3, p.u as P3, x * p.width), p.v as P3, y * p.height);
    g.append(svg("path", { class: p.kind, d: s.path([to(0, 0), to(1, 0), to(1, 1), to(0, 1)]) }, svg("title", {}, p.name)));
  }
  for (const p of room.points) {
    const [x, y] = s.xy(p.at as P3);
    if (p.kind !== "path") g.append(svg("circle", { class: "eye", cx: x.toFixed(1), cy: y.toFixed(1), r: 9 }, svg("title", {}, p.name)));
  }
  s.ground.append(g);
}
