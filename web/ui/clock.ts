// Times and numbers as people read them.

const two = (n: number): string => String(n).padStart(2, "0");

// clock prints minutes:seconds with the given decimals: 1:02.350.
export function clock(seconds: number, decimals = 0): string {
  const sign = seconds < 0 ? "−" : "";
  const scale = 10 ** decimals;
  const units = Math.round(Math.abs(seconds) * scale);
  const whole = Math.floor(units / scale);
  const rest = decimals ? "." + String(units % scale).padStart(decimals, "0") : "";
  const h = Math.floor(whole / 3600), m = Math.floor(whole / 60) % 60, s = whole % 60;
  return sign + (h ? `${h}:${two(m)}` : String(m)) + ":" + two(s) + rest;
}

// countdown prints what is left, rounded up so that 0:00 means now.
export const countdown = (seconds: number): string => clock(Math.ceil(Math.max(0, seconds) - 0.001));

// sentence begins words as a sentence does, and ends them.
export const sentence = (words: string): string => words && words.charAt(0).toUpperCase() + words.slice(1).replace(/[.?!]?$/, (end) => end || ".");

// span prints a length of time: 250 ms, 1.2 s, 2 min.
export function span(seconds: number): string {
  if (seconds < 0.1 && seconds > 0) return `${Math.round(seconds * 1000)} ms`;
  if (seconds < 120) return `${+seconds.toFixed(2)} s`;
  return clock(seconds) + " min";
}

// Above what unit symbols take k and M: lux and lumens are read in plain
// thousands.
const reach: Record<string, number> = {
  W: 1e3, J: 1e3, A: 1e3, V: 1e3, VA: 1e3, Hz: 1e3, m: 1e3, lx: 1e4, lm: 1e4, cd: 1e4, s: Infinity,
};

// say prints a measured value as package si does (Say): two figures, a prefix
// where digits would be many. A test holds the two together.
export function say(v: number, unit = ""): string {
  if (Math.abs(v) >= 1e300) return "beyond measure"; // what Go sends for an infinity
  if (unit === "s" && Math.abs(v) >= 120) {
    [v, unit] = [v / 60, "min"];
    if (Math.abs(v) >= 120) [v, unit] = [v / 60, "h"];
  }
  const [x, prefix] = prefixed(v, unit);
  return figured(x) + (unit ? (unit === "°" ? "" : " ") + prefix + unit : "");
}

// reading is say of what is read off: what is less than can be told from darkness has no unit.
export const reading = (v: number, unit: string, least: number): string => (v >= least ? say(v, unit) : v > 0 ? "nearly 0" : "0");

// tenths brings the times in a text, which files write to the millisecond, to tenths of a second as
// pages have them.
export const tenths = (text: string): string => text.replace(/(\d+):(\d\d)\.(\d+)/g, (_, m: string, s: string, part: string) => clock(60 * Number(m) + Number(`${s}.${part}`), 1));

function prefixed(v: number, unit: string): [number, string] {
  const first = unit.split("/")[0] ?? "";
  const top = reach[first];
  if (!top || v === 0) return [v, ""];
  const a = Math.abs(rounded(v));
  if (a >= top * 1e3) return [v / 1e6, "M"];
  if (a >= top) return [v / 1e3, "k"];
  if (a >= 0.1 || ["lx", "lm", "cd"].includes(first) || (a >= 0.01 && !"AVs".includes(first)) || (first === "m" && a >= 0.001)) return [v, ""];
  if (a >= 1e-5) return [v * 1e3, "m"];
  if (a >= 1e-8) return [v * 1e6, "µ"];
  return [v * 1e9, "n"];
}

const power = (v: number): number => Math.floor(Math.log10(Math.abs(v)));

const rounded = (v: number): number => +v.toPrecision(2);

function figured(v: number): string {
  if (Number.isInteger(v) && Math.abs(v) < 1000) return String(v);
  const r = rounded(v);
  return Math.abs(r) < 1e-6 ? "nearly 0" : String(+r.toFixed(Math.max(1 - power(r), 0)));
}

export const plural = (n: number, one: string, many = one + "s"): string => `${n} ${n === 1 ? one : many}`;
