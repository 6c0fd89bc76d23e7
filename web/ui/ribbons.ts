// The ribbons of computed light of one leaf.
import { over, Pixels, type Colour } from "./pixels";

export type Strip = { width: number; gap: number; height: number };

const ground: Colour = [0x1c, 0x19, 0x1b], groundOfDark: Colour = [0x15, 0x0f, 0x24];

// paper is what shows between the strips.
export const paper: Colour = [0xf8, 0xf4, 0xea];

// paint draws four bytes for each step, every so many seconds, and ribbon: colour as hue, level as the width of the
// light in its dark strip. Rows that look alike are made once.
export function paint(light: Uint8Array, every: number, ribbons: readonly { dark: boolean }[], strip: Strip, scale: number, sharp: number): Pixels {
  const n = ribbons.length, pitch = (strip.width + strip.gap) * sharp, wide = strip.width * sharp;
  const p = new Pixels(Math.max(1, Math.round(n * pitch - strip.gap * sharp)), Math.max(1, Math.round(strip.height * sharp)), paper);
  const steps = n ? light.length / 4 / n : 0, each = 1 / (every * scale * sharp);
  let last = -1;
  for (let row = 0; row < p.height && steps > 0; row++) {
    const step = Math.min(Math.floor((row + 0.5) * each), steps - 1);
    if (last >= 0 && alike(light, 4 * n, step, last)) p.again(row);
    else ribbons.forEach((r, i) => paintOne(p, row, i * pitch, wide, r.dark ? groundOfDark : ground, light.subarray(4 * (step * n + i)), sharp));
    last = step;
  }
  return p;
}

function alike(light: Uint8Array, long: number, a: number, b: number): boolean {
  if (a !== b) for (let k = 0; k < long; k++) if (light[a * long + k] !== light[b * long + k]) return false;
  return true;
}

function paintOne(p: Pixels, row: number, x: number, wide: number, under: Colour, [r = 0, g = 0, b = 0, of = 0]: Uint8Array, sharp: number): void {
  const level = of / 255, all = over([r, g, b], under, 0.16 * level);
  p.band(row, x, x + wide, all);
  if (!level) return;
  const half = Math.max(1.2 * sharp, (wide - 4 * sharp) * level) / 2, middle = x + wide / 2;
  p.band(row, middle - half, middle + half, over([r, g, b], all, 0.5 + 0.5 * level));
}
