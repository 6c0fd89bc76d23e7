// Lengths as the files write them.
import type { P3 } from "./sheet";
import type { Written } from "./write";

export const metre = (v: number): string => `${+v.toFixed(3)} m`;
export const place3 = (p: P3): Written => p.map(metre);

// metresIn reads what a person types: 1.5, 1,5, 1.5 m, 150 cm, 20 mm; undefined for what is no length.
export function metresIn(text: string): number | undefined {
  const m = /^\s*([-−+]?\d+(?:[.,]\d+)?)\s*(m|cm|mm)?\s*$/.exec(text);
  if (!m?.[1]) return undefined;
  return Number(m[1].replace("−", "-").replace(",", ".")) * (m[2] === "cm" ? 0.01 : m[2] === "mm" ? 0.001 : 1);
}
