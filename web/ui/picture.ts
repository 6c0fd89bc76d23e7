// The room drawn from its light: patches of walls, cloths and objects, each as
// bright as was computed.
import type { Room } from "./api";

export type Way = "seen" | "glow" | "lux" | "uv";

export const ways: readonly { way: Way; name: string; says: string }[] = [
  { way: "seen", name: "as seen", says: "luminance, with an eye that has adapted to it" },
  { way: "glow", name: "glow only", says: "light that fluorescence gives, alone" },
  { way: "lux", name: "lux", says: "illuminance of every surface" },
  { way: "uv", name: "ultraviolet", says: "UV-A irradiance of surfaces and at the eyes" },
];

// values for each place in the room's answer.
export const perPlace = 8;
// values for each panel that is elsewhere than in the room's shape, behind those of the places.
const perMoved = 10;

type Point = readonly [number, number, number];

// View turns a point of the room into a point of the picture and a distance.
export type View = { name: string; project: (p: Point) => [number, number, number] | null; aspect: number };

const minus = (a: Point, b: Point): Point => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const dot = (a: Point, b: Point): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a: Point, b: Point): Point => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const unit = (a: Point): Point => {
  const l = Math.hypot(...a) || 1;
  return [a[0] / l, a[1] / l, a[2] / l];
};

// fromEye is what a pair of eyes sees: straight perspective, wide enough for
// the subjects and some of what is around them.
export function fromEye(name: string, at: Point, looks: Point, subjects: readonly Point[], aspect: number): View {
  const ahead = unit(minus(looks, at));
  const right = unit(cross(ahead, [0, 0, 1])), up = cross(right, ahead);
  let wide = 0.3;
  for (const p of subjects) {
    const d = minus(p, at), z = dot(d, ahead);
    if (z < 0.3) continue;
    wide = Math.max(wide, Math.abs(dot(d, right)) / z, (Math.abs(dot(d, up)) / z) * aspect);
  }
  wide = Math.min(wide * 1.3, 1.6);
  return {
    name, aspect,
    project: (p) => {
      const d = minus(p, at), z = dot(d, ahead);
      if (z < 0.15) return null;
      return [0.5 + dot(d, right) / z / wide / 2, 0.5 - ((dot(d, up) / z / wide) * aspect) / 2, Math.hypot(...d)];
    },
  };
}

// plan looks straight down; front looks from the audience, without perspective.
export function plan(room: Room): View {
  const [w, d] = [room.size[0], room.size[1]];
  return { name: "plan", aspect: w / d, project: (p) => [0.5 + p[0] / w, 1 - (p[1] + room.front) / d, 100 - p[2]] };
}

export function front(room: Room): View {
  const [w, d, high] = [room.size[0], room.size[1], room.size[2]];
  return { name: "front", aspect: w / high, project: (p) => [0.5 + p[0] / w, 1 - p[2] / high, p[1] + d] };
}

// Walls come first: a room's own faces stand in front of nothing.
type Patch = { place: number; corners: Float64Array; far: number; wall: boolean };

// Picture draws one view; the patches are projected once and sorted from far
// to near.
export class Picture {
  #patches: Patch[] = [];
  #moved = ""; // the panels that are elsewhere than in the room's shape, as they came
  white = 1; // cd/m2 that the picture shows as white

  readonly #room: Room;

  constructor(room: Room, readonly view: View) {
    this.#room = room;
    this.#lay(room.panels);
  }

  #lay(panels: Room["panels"]): void {
    const view = this.view;
    this.#patches = [];
    for (const p of panels) {
      if (view.name === "plan" && (p.name === "ceiling" || p.normal[2] < -0.5)) continue;
      if (view.name === "front" && p.normal[1] > 0.5) continue;
      for (let row = 0; row < p.rows; row++) for (let col = 0; col < p.cols; col++) this.#add(p, col, row);
    }
    this.#patches.sort((a, b) => Number(b.wall) - Number(a.wall) || b.far - a.far);
  }

  // move puts the panels where the values say that they are: behind the places stand those that
  // are not where the room's shape has them.
  #move(values: Float32Array): void {
    const moved = values.subarray(this.#places() * perPlace), key = moved.join();
    if (key === this.#moved) return;
    this.#moved = key;
    const panels = [...this.#room.panels];
    for (let i = 0; i + perMoved <= moved.length; i += perMoved) {
      const at = moved[i] ?? -1, p = panels[at];
      if (!p) continue;
      const three = (k: number): [number, number, number] => [moved[i + k] ?? 0, moved[i + k + 1] ?? 0, moved[i + k + 2] ?? 0];
      const u = three(4), v = three(7);
      panels[at] = { ...p, corner: three(1), u, v, normal: [...cross(u, v)] };
    }
    this.#lay(panels);
  }

  // places is how many places the room has.
  #places(): number {
    const { panels, points } = this.#room;
    return Math.max(0, ...panels.map((p) => p.first + p.rows * p.cols), ...points.map((p) => p.place + 1));
  }

  #add(p: Room["panels"][number], col: number, row: number): void {
    const at = (a: number, b: number): Point => [0, 1, 2].map((i) =>
      (p.corner[i] ?? 0) + (p.u[i] ?? 0) * a * p.width + (p.v[i] ?? 0) * b * p.height) as unknown as Point;
    const c = p.cols, r = p.rows;
    const points = [at(col / c, row / r), at((col + 1) / c, row / r), at((col + 1) / c, (row + 1) / r), at(col / c, (row + 1) / r)].map(this.view.project);
    const corners = new Float64Array(8);
    let far = 0;
    for (let i = 0; i < 4; i++) {
      const q = points[i];
      if (!q) return;
      corners.set([q[0], q[1]], 2 * i);
      far += q[2] / 4;
    }
    // A patch seen from behind shows its other side, which is a panel of its own.
    let turn = 0;
    for (let i = 0; i < 4; i++) turn += (corners[2 * i] ?? 0) * (corners[(2 * i + 3) % 8] ?? 0) - (corners[(2 * i + 2) % 8] ?? 0) * (corners[2 * i + 1] ?? 0);
    if (turn > 0) return;
    this.#patches.push({ place: p.first + row * p.cols + col, corners, far: far - (p.kind === "object" ? 0.2 : 0), wall: p.kind === "wall" });
  }

  // at names the panel that is seen at a place of the picture, 0 to 1 across and down.
  at(x: number, y: number): string {
    for (let i = this.#patches.length - 1; i >= 0; i--) {
      const patch = this.#patches[i], k = patch?.corners;
      if (!patch || !k) continue;
      let inside = true;
      for (let a = 0; a < 4 && inside; a++) {
        const b = (a + 1) % 4, ax = k[2 * a] ?? 0, ay = k[2 * a + 1] ?? 0;
        inside = ((k[2 * b] ?? 0) - ax) * (y - ay) - ((k[2 * b + 1] ?? 0) - ay) * (x - ax) <= 0;
      }
      if (inside) return this.#room.panels.find((p) => patch.place >= p.first && patch.place < p.first + p.rows * p.cols)?.name ?? "";
    }
    return "";
  }

  draw(canvas: HTMLCanvasElement, values: Float32Array, way: Way): void {
    const sharp = Math.min(2, devicePixelRatio || 1);
    const w = canvas.clientWidth || 320, tall = canvas.clientHeight || w / this.view.aspect;
    if (canvas.width !== Math.round(w * sharp)) canvas.width = Math.round(w * sharp);
    if (canvas.height !== Math.round(tall * sharp)) canvas.height = Math.round(tall * sharp);
    const c = canvas.getContext("2d");
    if (!c) return;
    c.setTransform(canvas.width, 0, 0, canvas.height, 0, 0);
    c.fillStyle = "#000";
    c.fillRect(0, 0, 1, 1);
    this.#move(values);
    this.white = this.#adapt(values);
    c.lineWidth = 1 / canvas.width;
    for (const p of this.#patches) {
      const k = p.corners;
      if (Number.isNaN(values[p.place * perPlace])) continue; // not on stage
      c.fillStyle = c.strokeStyle = colour(values, p.place * perPlace, way, this.white);
      c.beginPath();
      c.moveTo(k[0] ?? 0, k[1] ?? 0);
      for (let i = 2; i < 8; i += 2) c.lineTo(k[i] ?? 0, k[i + 1] ?? 0);
      c.closePath();
      c.fill();
      c.stroke();
    }
  }

  // adapt finds the white of an eye that is used to the picture: near its
  // brightest patches, and not below what a dark-adapted eye makes of a black
  // room (0.2 cd/m2, a choice).
  #adapt(values: Float32Array): number {
    const ys: number[] = [];
    for (const p of this.#patches) {
      const at = p.place * perPlace;
      if (Number.isNaN(values[at])) continue;
      ys.push(luminance(values, at) + luminance(values, at + 3));
    }
    ys.sort((a, b) => a - b);
    return Math.max(0.2, 1.4 * (ys[Math.floor(ys.length * 0.985)] ?? 0));
  }
}

const luminance = (v: Float32Array, at: number): number =>
  0.2127 * (v[at] ?? 0) + 0.7152 * (v[at + 1] ?? 0) + 0.0722 * (v[at + 2] ?? 0);

// code is the transfer curve of IEC 61966-2-1.
function code(v: number): number {
  const x = Math.min(1, Math.max(0, v));
  return Math.round(255 * (x <= 0.0031308 ? 12.92 * x : 1.055 * x ** (1 / 2.4) - 0.055));
}

function colour(v: Float32Array, at: number, way: Way, white: number): string {
  switch (way) {
    case "lux":
      return ramp(v[at + 6] ?? 0, 0.1, 1000, [255, 236, 196]);
    case "uv":
      return ramp(v[at + 7] ?? 0, 0.001, 10, [206, 178, 255]);
    default: {
      const seen = way === "seen" ? 1 : 0;
      const rgb = [0, 1, 2].map((i) => (seen * (v[at + i] ?? 0) + (v[at + 3 + i] ?? 0)) / white);
      const most = Math.max(...rgb, 1e-9);
      const keep = most > 0.8 ? (1 - (0.2 * 0.2) / (most - 0.6)) / most : 1; // a soft knee at 0.8
      return `rgb(${rgb.map((x) => code(x * keep)).join(" ")})`;
    }
  }
}

// ramp shows a value on a scale of equal ratios, black to one light tint.
function ramp(v: number, low: number, high: number, tint: readonly [number, number, number]): string {
  const share = v <= low ? 0 : Math.min(1, Math.log(v / low) / Math.log(high / low));
  return `rgb(${tint.map((x) => Math.round(x * share)).join(" ")})`;
}

export const scales: Partial<Record<Way, { low: number; high: number; unit: string; class: string }>> = {
  lux: { low: 0.1, high: 1000, unit: "lx", class: "lux" },
  uv: { low: 0.001, high: 10, unit: "W/m²", class: "uv" },
};
