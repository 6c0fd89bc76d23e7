// How far a lamp's light reaches in an empty room: where rays of its cone meet floor, walls or ceiling.
import { plus, type Box, type P3 } from "./sheet";

const rays = 48;

const unit = (p: P3): P3 => {
  const l = Math.hypot(...p) || 1;
  return [p[0] / l, p[1] / l, p[2] / l];
};
const cross = (p: P3, q: P3): P3 => [p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]];

// meets is where a ray that begins in the room leaves it.
export function meets(from: P3, d: P3, room: Box): P3 {
  let far = Infinity;
  for (const k of [0, 1, 2] as const) {
    const to = d[k] > 0 ? room.high[k] : room.low[k];
    if (Math.abs(d[k]) > 1e-9) far = Math.min(far, Math.max(0, (to - from[k]) / d[k]));
  }
  return plus(from, d, Number.isFinite(far) ? far : 0);
}

// footprint is the edge of what a cone about a beam lights; angle is the full one, degrees.
export function footprint(at: P3, aim: P3, angle: number, room: Box): P3[] {
  const axis = unit(plus(aim, at, -1)), side = unit(cross(axis, Math.abs(axis[2]) > 0.9 ? [1, 0, 0] : [0, 0, 1])), up = cross(side, axis);
  const half = (Math.min(angle, 170) * Math.PI) / 360, out: P3[] = [];
  for (let i = 0; i < rays; i++) {
    const turn = (2 * Math.PI * i) / rays, s = Math.sin(half);
    out.push(meets(at, plus(plus([axis[0] * Math.cos(half), axis[1] * Math.cos(half), axis[2] * Math.cos(half)], side, s * Math.cos(turn)), up, s * Math.sin(turn)), room));
  }
  return out;
}
