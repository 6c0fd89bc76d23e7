// The clock and the sound of one leaf, drawn as lines and areas.
import { clock } from "./clock";
import { svg } from "./dom";
import { Pixels, type Colour } from "./pixels";
import { paper } from "./ribbons";
import type { Moment, Sound } from "./spans";

export type Stretch = { from: number; to: number; scale: number }; // s, s, px a second

const y = (s: Stretch, t: number): number => (t - s.from) * s.scale;
const round = (v: number): string => v.toFixed(1).replace(/\.0$/, "");

// rulings are how far apart lines of a ruler may stand, s.
const rulings = [0.01, 0.05, 0.1, 0.5, 1, 5, 10, 30, 60, 300, 600, 1800];

// drawClock rules the seconds at its left edge and bars and beats at its right.
export function drawClock(piece: { moments: readonly Moment[] } | undefined, s: Stretch, width: number): SVGSVGElement {
  const height = (s.to - s.from) * s.scale;
  const out = svg("svg", { class: "clock", width, height, viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true" });
  const minor = rulings.find((r) => r * s.scale >= 8) ?? 1800, every = rulings.find((r) => r * s.scale >= 50 && r >= minor) ?? 3600;
  let ticks = "";
  for (let k = Math.ceil(s.from / minor - 1e-6); k * minor < s.to - 1e-6; k++) {
    const t = k * minor, whole = (of: number): boolean => Math.abs(t / of - Math.round(t / of)) < 1e-6;
    const major = whole(every), minute = whole(60);
    ticks += `M0 ${round(y(s, t))}h${minute ? 10 : major ? 7 : 3}`;
    if (!major) continue;
    const text = svg("text", { x: minute ? 12 : 10, y: y(s, t) + (minute ? 6 : 4), class: minute ? "minute" : "second" }, clock(t, every < 0.1 ? 2 : every < 1 ? 1 : 0));
    if (t === s.from) text.setAttribute("y", String(minute ? 15 : 11));
    out.append(text);
  }
  out.append(svg("path", { d: ticks, class: "tick" }), counts(piece?.moments ?? [], s, width));
  return out;
}

function counts(moments: readonly Moment[], s: Stretch, width: number): SVGGElement {
  const g = svg("g", { class: "counts" });
  let beats = "", last = -Infinity;
  for (const m of moments) {
    if (m.time < s.from || m.time >= s.to || (m.kind !== "bar" && m.kind !== "beat")) continue;
    const at = y(s, m.time);
    beats += `M${width} ${round(at)}h${m.kind === "bar" ? -7 : -3}`;
    if (m.kind === "bar" && at - last > 15 && at > 9) {
      last = at;
      g.append(svg("text", { x: width - 9, y: at + 3.5, class: "bar", "text-anchor": "end" }, String(m.bar)));
    }
  }
  g.append(svg("path", { d: beats, class: "tick" }));
  return g;
}

// The colours of the bands, on the page's paper.
const lows: Colour = [0x5a, 0x4d, 0x41], mids: Colour = [0xcb, 0xbf, 0xa9], highs: Colour = [0x93, 0x84, 0x6f];

const spineAt = 0.46, halfOf = 0.4; // of the width

// paintSound paints the bands: low notes grow to the left of the spine, high ones to the right,
// the middle on both sides.
export function paintSound(sounds: readonly Sound[], s: Stretch, width: number, sharp: number): Pixels {
  const p = new Pixels(Math.round(width * sharp), Math.max(1, Math.round((s.to - s.from) * s.scale * sharp)), paper);
  const spine = width * spineAt * sharp, half = width * halfOf * sharp;
  let k = 0;
  for (let row = 0; row < p.height; row++) {
    const t = s.from + (row + 0.5) / (s.scale * sharp);
    while ((sounds[k + 1]?.from ?? Infinity) <= t) k++;
    const a = sounds[k];
    if (!a) continue;
    const at = (t - a.from) / a.hop, long = 1 / (s.scale * sharp * a.hop); // of the row, in steps
    const between = long > 1.5 ? (levels: Uint8Array, from: number): number => greatest(levels, from, long) : blended;
    const mid = half * between(a.mid, at);
    p.band(row, spine - mid, spine + mid, mids);
    p.band(row, spine - half * between(a.low, at), spine, lows);
    p.band(row, spine, spine + half * between(a.high, at), highs);
    p.band(row, spine - 0.3 * sharp, spine + 0.3 * sharp, paper);
  }
  return p;
}

// greatest is the loudest of the steps that a row stands for.
function greatest(levels: Uint8Array, at: number, long: number): number {
  let most = 0;
  for (let i = Math.max(0, Math.floor(at - long / 2)); i <= at + long / 2; i++) most = Math.max(most, levels[i] ?? 0);
  return shape(most);
}

function blended(levels: Uint8Array, at: number): number {
  const i = Math.floor(at), part = at - i;
  return shape(levels[i]) * (1 - part) + shape(levels[i + 1] ?? levels[i]) * part;
}

// drawMoments draws what was heard over the bands.
export function drawMoments(moments: readonly Moment[], s: Stretch, width: number): SVGSVGElement {
  const height = (s.to - s.from) * s.scale, spine = width * spineAt;
  const out = svg("svg", { class: "sound", width, height, viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true" });
  const faint = weakest(moments, s), labels = { free: 0 };
  for (const m of moments) if (m.time < s.to && Math.max(m.time, m.end) >= s.from && (m.kind !== "hit" || m.strength >= faint)) drawMoment(out, m, s, width, spine, labels);
  return out;
}

// mostHits keeps a drum roll from blackening the page: beyond that many
// strokes a minute the weakest are left out.
const mostHits = 45;

function weakest(moments: readonly Moment[], s: Stretch): number {
  const all = moments.filter((m) => m.kind === "hit" && m.time >= s.from).map((m) => m.strength).sort((a, b) => b - a);
  return all[Math.round((mostHits * (s.to - s.from)) / 60)] ?? 0;
}

// shape makes a level in decibels look as loud as it sounds: 10 dB down is
// about half as wide.
const shape = (v: number | undefined): number => (v ? 2 ** (((v / 255) * 60 - 60) / 14) : 0);

function drawMoment(out: SVGSVGElement, m: Moment, s: Stretch, width: number, spine: number, labels: { free: number }): void {
  const height = (s.to - s.from) * s.scale;
  const top = Math.max(0, y(s, m.time)), foot = Math.min(height, y(s, m.end));
  const g = svg("g", { class: "moment " + m.kind, "data-at": m.time }, svg("title", {}, `${m.kind} ${clock(m.time, 1)}: ${m.why}`));
  switch (m.kind) {
    case "hit":
      if (m.time >= s.from) g.append(svg("path", { opacity: (0.3 + 0.7 * m.strength).toFixed(2), d: `M${spine} ${round(top)}H${round(spine + 8 + (width - spine - 10) * m.strength)}` }));
      break;
    case "turn":
      if (m.time < s.from) return;
      g.append(svg("path", { d: `M0 ${round(top)}H${width}` }));
      if (m.label) {
        const at = Math.max(top + 3, labels.free); // below the one before
        labels.free = at + 17;
        g.append(svg("rect", { x: 1, y: at, width: 15, height: 15 }), svg("text", { x: 8.5, y: at + 11.5, "text-anchor": "middle" }, m.label.slice(0, 2)));
      }
      break;
    case "swell":
      g.append(hairpin(m, s, height));
      break;
    case "hush":
      g.append(svg("path", { d: `M${width - 5} ${round(top)}h-4V${round(foot)}h4` }), aside(m, s, width - 13, "hush"));
      break;
    case "voice":
      g.append(svg("path", { d: wave(width - 5, top, foot) }), aside(m, s, width - 13, "voice"));
      break;
    default:
      return;
  }
  out.append(g);
}

// aside names what lasts, along its line, where it begins on this leaf.
function aside(m: Moment, s: Stretch, x: number, text: string): SVGTextElement | string {
  const top = y(s, m.time);
  if (m.time < s.from || (m.end - m.time) * s.scale < 30) return "";
  return svg("text", { x, y: top + 3, transform: `rotate(90 ${x} ${top + 3})`, class: "along" }, text);
}

function wave(x: number, from: number, to: number): string {
  let d = `M${x} ${round(from)}`;
  for (let at = from; at + 6 <= to; at += 6) d += `q3 1.5 0 3t0 3`;
  return d;
}

// hairpin is the sign that music uses for louder and softer, turned to run
// down the page.
function hairpin(m: Moment, s: Stretch, height: number): SVGPathElement {
  const falls = m.change < 0;
  const open = 5, x = 6, top = y(s, m.time), foot = y(s, m.end);
  const at = (t: number, side: number): string => {
    const share = foot > top ? (t - top) / (foot - top) : 0;
    return `${round(x + side * open * (falls ? 1 - share : share))} ${round(t)}`;
  };
  const a = Math.max(top, 0), b = Math.min(foot, height);
  return svg("path", { d: `M${at(a, -1)}L${at(b, -1)}M${at(a, 1)}L${at(b, 1)}` });
}
