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

// span prints a length of time: 250 ms, 1.2 s, 2 min.
export function span(seconds: number): string {
  if (seconds < 0.1 && seconds > 0) return `${Math.round(seconds * 1000)} ms`;
  if (seconds < 120) return `${+seconds.toFixed(2)} s`;
  return clock(seconds) + " min";
}

// figure prints a measured value with three significant digits.
export function figure(v: number): string {
  if (Math.abs(v) >= 1e300) return "beyond measure"; // what Go sends for an infinity
  const a = Math.abs(v);
  if (a >= 1000) return Math.round(v).toLocaleString("en").replaceAll(",", "\u2009");
  if (a !== 0 && a < 0.001) return v.toExponential(1).replace("e-", " × 10⁻").replace(/\d+$/, superscript);
  return String(+v.toPrecision(3));
}

const superscript = (digits: string): string => [...digits].map((d) => "⁰¹²³⁴⁵⁶⁷⁸⁹"[+d]).join("");

export const plural = (n: number, one: string, many = one + "s"): string => `${n} ${n === 1 ? one : many}`;
