// What was found in a sentence without figures; those stand beside it, for who asks.
import type { Finding } from "./api";

// who is the thing that a finding is about, without what sort of thing it is.
export const who = (f: Finding): string => f.place.replace(/^(performer|object|surface|path|look|unit) /, "");

const over = (f: Finding): boolean => (f.margin ?? 0) < 0 || f.severity !== "note";

// either says the one where a limit is passed, and the other where it is kept.
const either = (bad: (f: Finding) => string, good: (f: Finding) => string) => (f: Finding): string => (over(f) ? bad : good)(f);

const ultraviolet = either((f) => `too much ultraviolet reaches the eyes of ${who(f)}`, (f) => `ultraviolet at the eyes of ${who(f)} stays within its limit`);
const flashes = either((f) => `it flashes too often, seen from ${who(f)}`, (f) => `flashes stay within their limit, seen from ${who(f)}`);
const blue = either((f) => `too much blue light reaches the eyes of ${who(f)}`, (f) => `blue light at the eyes of ${who(f)} stays within its limit`);
const carries = either((f) => `${f.place} carries more than it may`, (f) => `${f.place} carries what it may`);

const sentences: Record<string, (f: Finding) => string> = {
  "blackout": either(() => "it is dark for too long while people move", () => "no dark is too long"),
  "path-dark": (f) => `${who(f)} is too dark underfoot`,
  "escape-light": either((f) => `lights up leaves ${who(f)} too dark`, (f) => `lights up is bright enough on ${who(f)}`),
  "flash-rate": flashes, "flash-red": flashes,
  "flash-union": either(() => "all units together flash too often", () => "all units together stay within the limit of flashes"),
  "flash-long": () => "flashing goes on for long",
  "uv-dose": ultraviolet, "uv-actinic": ultraviolet, "uv-irradiance": ultraviolet, "uv-path": ultraviolet,
  "uv-keep-out": (f) => `keep away from ${f.place}: it gives ultraviolet`,
  "blue-gaze": blue, "blue-room": blue,
  "glow-low": (f) => `${who(f)} glows too little`,
  "spill-on-black": (f) => `${who(f)} is not dark enough`,
  "supply-load": carries, "supply-chain": carries, "supply-connector": carries,
  "supply-inrush": either((f) => `${f.place} may trip when it is switched on`, (f) => `${f.place} bears being switched on`),
  "supply-leakage": either((f) => `the leakage of ${f.place} may trip its protection`, (f) => `the leakage of ${f.place} is small enough`),
  "supply-drop": either((f) => `${f.place} loses too much voltage on its way`, (f) => `${f.place} keeps its voltage`),
  "supply-phase": either(() => "the phases carry too unlike currents", () => "the phases and the neutral carry what they may"),
};

// rows are the rows of seats that findings are about; none where one of them is about something else.
function rows(places: readonly string[]): number[] {
  const found = places.map((p) => Number(/^seat .*?\brow (\d+)/.exec(p)?.[1]));
  return found.every((n) => n > 0) ? found : [];
}

// plain is what a finding says, and others of its kind with it: "looks too dark from row 8".
export function plain(f: Finding, others: readonly Finding[] = []): string {
  const all = [f, ...others], from = rows(all.map((x) => x.place)), say = sentences[f.id];
  if (from.length > 1 && say) {
    const first = Math.min(...from), place = Math.max(...from) > first ? `row ${first} on` : `row ${first}`;
    return say({ ...f, place });
  }
  return say?.(f) ?? f.text;
}
