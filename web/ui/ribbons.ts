// The ribbons of computed light of one leaf.
import { Light } from "./data";

export type Strip = { width: number; gap: number; height: number };

// paint draws four bytes for each step and ribbon into a canvas: colour as
// hue, level as the width of the light in its dark strip.
export function paint(canvas: HTMLCanvasElement, light: Uint8Array, ribbons: readonly { dark: boolean }[], strip: Strip, scale: number, sharp: number): void {
  const n = ribbons.length, pitch = strip.width + strip.gap;
  canvas.width = Math.max(1, Math.round((n * pitch - strip.gap) * sharp));
  canvas.height = Math.max(1, Math.round(strip.height * sharp));
  const c = canvas.getContext("2d");
  if (!c) return;
  c.scale(sharp, sharp);
  ribbons.forEach((r, i) => {
    c.fillStyle = r.dark ? "#150f24" : "#1c191b";
    c.fillRect(i * pitch, 0, strip.width, strip.height);
  });
  const steps = n ? light.length / 4 / n : 0;
  for (let r = 0; r < n; r++) paintOne(c, light, r, n, steps, r * pitch + strip.width / 2, strip, scale, sharp);
}

// paintOne joins rows of the screen that look alike, so that a light that
// stands is one rectangle and a fade has no seams.
function paintOne(c: CanvasRenderingContext2D, light: Uint8Array, r: number, n: number, steps: number, middle: number, strip: Strip, scale: number, sharp: number): void {
  const rows = Math.round(strip.height * sharp), each = 1 / (Light.step * scale * sharp);
  const key = (row: number): number => {
    const at = 4 * (Math.min(Math.floor((row + 0.5) * each), steps - 1) * n + r);
    return ((light[at] ?? 0) << 24) | ((light[at + 1] ?? 0) << 16) | ((light[at + 2] ?? 0) << 8) | (light[at + 3] ?? 0);
  };
  for (let row = 0; row < rows && steps > 0;) {
    const k = key(row);
    let end = row + 1;
    while (end < rows && key(end) === k) end++;
    const level = (k & 255) / 255;
    if (level > 0) {
      const w = Math.max(1.2, (strip.width - 4) * level);
      const rgb = `${(k >>> 24) & 255} ${(k >>> 16) & 255} ${(k >>> 8) & 255}`;
      const top = row / sharp, height = (end - row) / sharp;
      c.fillStyle = `rgb(${rgb} / ${0.16 * level})`;
      c.fillRect(middle - strip.width / 2, top, strip.width, height);
      c.fillStyle = `rgb(${rgb} / ${0.5 + 0.5 * level})`;
      c.fillRect(middle - w / 2, top, w, height);
    }
    row = end;
  }
}
