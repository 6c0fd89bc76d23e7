// A drawing of the room in centimetres, from above or from a side, in which things are dragged.
import { svg } from "./dom";

export type Axis = 0 | 1 | 2;
export type P3 = readonly [number, number, number]; // m
export type Box = { low: P3; high: P3 };

export const with3 = (p: P3, k: Axis, v: number): P3 => [k === 0 ? v : p[0], k === 1 ? v : p[1], k === 2 ? v : p[2]];
export const plus = (p: P3, q: P3, f = 1): P3 => [p[0] + f * q[0], p[1] + f * q[1], p[2] + f * q[2]];
export const same = (p: P3, q: P3): boolean => p.every((v, k) => Math.abs(v - (q[k] ?? 0)) < 5e-4);

// Fine is how finely a hand wants it: Shift by millimetres, Alt without being drawn to anything.
export type Fine = { fine: boolean; free: boolean };

const margin = 60; // cm around the room

export class Sheet {
  readonly element: SVGSVGElement;
  readonly ground = svg("g", { class: "ground" });
  readonly over = svg("g", { class: "over" });
  readonly wide: number; // cm

  // a and b are the axes of the room that go to the right and up.
  constructor(readonly a: Axis, readonly b: Axis, readonly room: Box, label: string) {
    this.wide = 100 * (room.high[a] - room.low[a]) + 2 * margin;
    const high = 100 * (room.high[b] - room.low[b]) + 2 * margin;
    this.element = svg("svg", { class: "sheet", role: "group", "aria-label": label, viewBox: `${100 * room.low[a] - margin} ${-100 * room.high[b] - margin} ${this.wide} ${high}` }, this.ground, this.over);
    this.#rule();
  }

  // xy is where a point of the room is in the drawing.
  xy(p: P3): [number, number] {
    return [100 * p[this.a], -100 * p[this.b]];
  }

  path(points: readonly P3[], closed = true): string {
    return "M" + points.map((p) => this.xy(p).map((v) => v.toFixed(1)).join(" ")).join("L") + (closed ? "Z" : "");
  }

  // pixel is how long one of the page is, m.
  get pixel(): number {
    const scale = this.element.isConnected ? this.element.getScreenCTM()?.a : 0;
    return scale ? 1 / (100 * scale) : this.wide / 70_000;
  }

  // #rule draws the room: metres, its walls, and the edge of the stage.
  #rule(): void {
    const { low, high } = this.room, { a, b } = this;
    const line = (p: P3, q: P3, kind: string): void => { this.ground.append(svg("path", { class: kind, d: this.path([p, q], false) })); };
    for (const [k, other] of [[a, b], [b, a]] as const) {
      for (let v = Math.ceil(low[k]); v <= high[k]; v++) line(with3(with3(low, k, v), other, low[other]), with3(with3(low, k, v), other, high[other]), "metre");
    }
    for (const k of [a, b]) if (k === 1) line([low[0], 0, low[2]], a === 1 ? [low[0], 0, high[2]] : [high[0], 0, low[2]], "edge");
    const corner = (at: number, up: number): P3 => with3(with3(low, a, at), b, up);
    this.ground.append(svg("path", { class: "walls", d: this.path([corner(low[a], low[b]), corner(high[a], low[b]), corner(high[a], high[b]), corner(low[a], high[b])]) }));
  }
}

// round is a place as it is written: to a centimetre, or to a millimetre.
export const round = (v: number, fine: boolean): number => (fine ? Math.round(v * 1000) / 1000 : Math.round(v * 100) / 100);

// draws is how near something must be to draw what is dragged, px.
const draws = 7;

// drawnTo is a coordinate as near lines and half metres draw it, and what drew it.
export function drawnTo(v: number, lines: readonly number[], pixel: number, how: Fine): { at: number; line: number | undefined } {
  if (how.fine || how.free) return { at: round(v, how.fine), line: undefined };
  let best: number | undefined;
  for (const l of [...lines, Math.round(v * 2) / 2]) if (Math.abs(l - v) < draws * pixel && (best === undefined || Math.abs(l - v) < Math.abs(best - v))) best = l;
  return { at: round(best ?? v, false), line: best !== undefined && lines.includes(best) ? best : undefined };
}

// Drag is what a hand does: by is how far from where it took hold, m along the axes of the sheet.
export type Drag = { begins: () => boolean; to: (by: readonly [number, number], how: Fine) => void; ends: (goes: boolean) => void };

// still is how far a pointer goes before a press is a drag, px.
const still = 3;

// drags has an element of a sheet dragged. Escape leaves it as it was.
export function drags(e: Element, sheet: Sheet, d: Drag): void {
  e.addEventListener("pointerdown", (ev) => {
    const down = ev as PointerEvent;
    if (down.button !== 0 || !d.begins()) return;
    down.preventDefault();
    down.stopPropagation();
    const end = new AbortController(), on = { signal: end.signal }, pixel = sheet.pixel;
    let moved = false;
    const leave = (goes: boolean): void => {
      end.abort();
      if (moved) d.ends(goes);
    };
    addEventListener("pointermove", (m) => {
      const by = [m.clientX - down.clientX, down.clientY - m.clientY] as const;
      if (!moved && Math.hypot(...by) < still) return;
      moved = true;
      d.to([by[0] * pixel, by[1] * pixel], { fine: m.shiftKey, free: m.altKey });
    }, on);
    addEventListener("pointerup", () => leave(true), on);
    addEventListener("pointercancel", () => leave(false), on);
    addEventListener("keydown", (k) => { if (k.key === "Escape") { k.preventDefault(); k.stopPropagation(); leave(false); } }, { ...on, capture: true });
  });
}
