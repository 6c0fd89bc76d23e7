// The room itself: its walls, the ceiling, and the edge of the stage.
import { metre } from "./metres";
import type { Axis, Box, P3 } from "./sheet";
import { file } from "./standing";
import type { Change } from "./write";

export type Hall = { size: P3; front: number };

export const insideOf = (h: Hall): Box => ({ low: [-h.size[0] / 2, -h.front, 0], high: [h.size[0] / 2, h.size[1] - h.front, h.size[2]] });

// Wall is a side of the room: dragged, it goes with the hand. The middle of the stage's edge stays where all is measured from, so
// side walls move both.
export type Wall = { name: string; axis: Axis; at: number; to: (v: number) => Hall };

export function wallsOf(h: Hall): Wall[] {
  const [w, d, up] = h.size, most = (v: number): number => Math.max(1, v);
  return [
    { name: "right wall, and the left one with it", axis: 0, at: w / 2, to: (v) => ({ ...h, size: [most(2 * v), d, up] }) },
    { name: "left wall, and the right one with it", axis: 0, at: -w / 2, to: (v) => ({ ...h, size: [most(-2 * v), d, up] }) },
    { name: "wall behind the stage", axis: 1, at: d - h.front, to: (v) => ({ ...h, size: [w, most(v + h.front), up] }) },
    { name: "wall behind the audience", axis: 1, at: -h.front, to: (v) => ({ size: [w, most(d - h.front - v), up], front: -v }) },
    { name: "ceiling", axis: 2, at: up, to: (v) => ({ ...h, size: [w, d, most(v)] }) },
  ];
}

export function wallChanges(was: Hall, is: Hall): Change[] {
  const out: Change[] = [];
  if (was.size.some((v, k) => Math.abs(v - (is.size[k] ?? 0)) > 5e-4)) out.push({ file, do: "set", at: ["size"], to: is.size.map(metre) });
  if (Math.abs(was.front - is.front) > 5e-4) out.push({ file, do: "set", at: ["stage front"], to: metre(is.front) });
  return out;
}
