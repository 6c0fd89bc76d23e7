// What stands in the room as a hand moves it: where it can be taken hold of, what it then is, and what of that is written.
import type { Standing } from "./api";
import { metre, place3 } from "./metres";
import { plus, same, with3, type Axis, type P3 } from "./sheet";
import type { Change, Step, Written } from "./write";

// Hold is where something can be taken hold of; to is what it is when that has come to a place.
export type Hold = { name: string; at: P3; to: (p: P3) => Standing };

export const file = "room.yaml";
const up: P3 = [0, 0, 1];

const flat = (s: Standing): boolean => s.list === "surfaces" || s.list === "objects";
const upright = (s: Standing): boolean => Math.abs(s.faces[2]) < 1e-6;
const level = (s: Standing): boolean => Math.abs(s.faces[2]) > 1 - 1e-6;
const least = 0.05; // m

// high is the direction from the lower edge of what is flat to its upper one.
function high(s: Standing): P3 {
  const [n, u] = [s.faces as P3, s.across as P3];
  return [n[1] * u[2] - n[2] * u[1], n[2] * u[0] - n[0] * u[2], n[0] * u[1] - n[1] * u[0]];
}

// outline are the corners of something in turn, those of the side that a sheet shows.
export function outline(s: Standing, a: Axis, b: Axis): P3[] {
  const at = s.at as P3, [w, d, h] = s.size;
  if (flat(s)) {
    const v = high(s), to = (x: number, y: number): P3 => plus(plus(at, s.across as P3, x * w), v, y * d);
    return [to(-0.5, -0.5), to(0.5, -0.5), to(0.5, 0.5), to(-0.5, 0.5)];
  }
  const wide: Record<Axis, number> = { 0: w, 1: s.list === "pillars" ? w : d, 2: s.list === "pillars" ? d : h };
  const middle: P3 = s.list === "pillars" ? plus(at, up, d / 2) : at;
  return ([[-1, -1], [1, -1], [1, 1], [-1, 1]] as const).map(([x, y]) => with3(with3(middle, a, middle[a] + (x * wide[a]) / 2), b, middle[b] + (y * wide[b]) / 2));
}

// holds are those of something in a sheet.
export function holds(s: Standing, a: Axis, b: Axis): Hold[] {
  if (s.list === "paths") return [{ name: "all of it", at: middleOf(s), to: (p) => movedBy(s, plus(p, middleOf(s), -1)) }, ...s.points.map((p, i) => ({ name: `point ${i + 1}`, at: p as P3, to: (q: P3): Standing => ({ ...s, points: s.points.map((o, k) => (k === i ? q : o)) }) }))];
  const whole: Hold = { name: "all of it", at: s.at as P3, to: (p) => ({ ...s, at: p }) };
  if (s.list === "boxes") return [whole, ...boxHolds(s, a, b)];
  if (!flat(s) || s.whole) return [whole];
  if (level(s) && b === 1) return [whole, ...boxHolds(s, a, b)];
  if (!upright(s)) return [whole];
  return [whole, ...(b === 2 ? edges(s) : ends(s))];
}

const middleOf = (s: Standing): P3 => {
  const n = Math.max(1, s.points.length);
  return s.points.reduce<P3>((sum, p) => plus(sum, p as P3, 1 / n), [0, 0, 0]);
};

const movedBy = (s: Standing, by: P3): Standing => ({ ...s, points: s.points.map((p) => plus(p as P3, by)) });

// boxHolds are the corners of a box, or of what lies level: the corner across stays where it is.
function boxHolds(s: Standing, a: Axis, b: Axis): Hold[] {
  return outline(s, a, b).map((at, i, all) => {
    const across = all[(i + 2) % 4] as P3;
    return { name: `corner ${i + 1}`, at, to: (p) => {
      let [mid, size] = [s.at as P3, s.size as P3];
      for (const k of [a, b]) {
        mid = with3(mid, k, (p[k] + across[k]) / 2);
        size = with3(size, flat(s) && k === 1 ? 1 : k, Math.max(least, Math.abs(p[k] - across[k])));
      }
      return { ...s, at: mid, size };
    } };
  });
}

// ends are those of what stands upright, from above: the other end stays, and it turns.
function ends(s: Standing): Hold[] {
  const u = s.across as P3, at = s.at as P3;
  return ([-1, 1] as const).map((side) => {
    const fixed = plus(at, u, (-side * s.size[0]) / 2);
    return { name: side < 0 ? "its left end" : "its right end", at: plus(at, u, (side * s.size[0]) / 2), to: (p) => {
      const d: P3 = [side * (p[0] - fixed[0]), side * (p[1] - fixed[1]), 0], long = Math.hypot(d[0], d[1]);
      if (long < least) return s;
      const v: P3 = [d[0] / long, d[1] / long, 0];
      return { ...s, at: with3(plus(fixed, v, (side * long) / 2), 2, at[2]), size: with3(s.size as P3, 0, long), across: v, faces: [v[1], -v[0], 0] };
    } };
  });
}

// edges are the lower and the upper one of what stands upright, from the side.
function edges(s: Standing): Hold[] {
  const at = s.at as P3;
  return ([-1, 1] as const).map((side) => {
    const fixed = at[2] - (side * s.size[1]) / 2;
    return { name: side < 0 ? "its lower edge" : "its upper edge", at: plus(at, up, (side * s.size[1]) / 2), to: (p) => {
      const h = Math.max(least, side * (p[2] - fixed));
      return { ...s, at: with3(at, 2, fixed + (side * h) / 2), size: with3(s.size as P3, 1, h) };
    } };
  });
}

export const pathOf = (s: Standing): Step[] => [s.list, s.index >= 0 ? s.index : s.name];

const sizes: Record<string, readonly string[]> = { surfaces: ["width", "height"], objects: ["width", "height"], pillars: ["across", "height"], paths: ["width"] };
const where: Record<string, string> = { surfaces: "centre", objects: "centre", boxes: "centre", pillars: "foot", audience: "at", performers: "at" };

// tidy is a direction as files have it.
const tidy = (p: P3): Written => p.map((v) => `${+v.toFixed(4)} m`);

// changes are what is written of something that has become another.
export function changes(was: Standing, is: Standing): Change[] {
  const out: Change[] = [], set = (key: readonly Step[], to: Written): void => void out.push({ file, do: "set", at: [...pathOf(was), ...key], to });
  if (was.list === "marks") {
    if (!same(was.at as P3, is.at as P3)) set([], place3(is.at as P3));
    return out;
  }
  const key = where[was.list];
  if (key && !same(was.at as P3, is.at as P3)) set([key], place3(is.at as P3));
  if (was.list === "boxes" && !same(was.size as P3, is.size as P3)) set(["size"], place3(is.size as P3));
  (sizes[was.list] ?? []).forEach((name, k) => { if (Math.abs((was.size[k] ?? 0) - (is.size[k] ?? 0)) > 5e-4) set([name], metre(is.size[k] ?? 0)); });
  if (flat(was) && !same(was.faces as P3, is.faces as P3)) set(["faces"], tidy(is.faces as P3));
  was.points.forEach((p, i) => { if (!same(p as P3, (is.points[i] ?? p) as P3)) set(["points", i], place3(is.points[i] as P3)); });
  return out;
}

// Figure is a number of something that a person may type.
export type Figure = { name: string; value: number; to: (v: number) => Standing };

export function figures(s: Standing): Figure[] {
  const out: Figure[] = [], axis = ["to the right", "upstage", "up"] as const;
  if (s.list === "paths") s.points.forEach((p, i) => ([0, 1] as const).forEach((k) => out.push({ name: `point ${i + 1}, ${axis[k]}`, value: p[k], to: (v) => ({ ...s, points: s.points.map((o, n) => (n === i ? with3(o as P3, k, v) : o)) }) })));
  else ([0, 1, 2] as const).forEach((k) => out.push({ name: axis[k], value: s.at[k], to: (v) => ({ ...s, at: with3(s.at as P3, k, v) }) }));
  const named = s.list === "boxes" ? ["wide", "deep", "high"] : s.whole ? [] : sizes[s.list] ?? [];
  named.forEach((name, k) => out.push({ name, value: s.size[k] ?? 0, to: (v) => ({ ...s, size: with3(s.size as P3, k as Axis, v) }) }));
  return out;
}
