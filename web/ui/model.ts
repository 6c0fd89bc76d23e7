// The show as the pages hold it: names and times of all of it, the rest by spans.
import type { Contents, Cue, Finding, Sketch } from "./api";
import { bytes } from "./data";
import { Spans } from "./spans";

// Brief is a cue by its name and times.
export type Brief = { number: string; look: number; moment: number; start: number; complete: number };

export class Model {
  readonly cues: readonly Brief[];
  readonly swatches: readonly Uint8Array[];
  readonly spans = new Spans();

  constructor(readonly show: Contents) {
    const c = show.cues;
    this.cues = c.number.map((number, i) => ({ number, look: c.look[i] ?? -1, moment: c.moment[i] ?? 0, start: c.start[i] ?? 0, complete: c.complete[i] ?? 0 }));
    this.swatches = show.looks.map((l) => bytes(l.swatches));
  }

  // lookNames are the looks, each once: one may be solved in several ways.
  get lookNames(): readonly string[] {
    return [...new Set(this.show.looks.map((l) => l.name))];
  }

  look(c: { look: number }): Sketch | undefined {
    return this.show.looks[c.look];
  }

  // cueAt is the last cue that has started at t, as a place in cues, or -1.
  cueAt(t: number): number {
    let low = 0, high = this.cues.length;
    while (low < high) {
      const mid = (low + high) >> 1;
      if ((this.cues[mid]?.start ?? 0) <= t + 1e-4) low = mid + 1;
      else high = mid;
    }
    return low - 1;
  }

  // whole is all of a cue, once its span was fetched.
  whole(c: Brief): Cue | undefined {
    return this.spans.here(Spans.of(c.moment))?.cues.find((x) => x.number === c.number);
  }

  // barAt is the count at t; "" where there is none, or where it is not known yet.
  barAt(t: number): string {
    this.spans.here(Spans.of(Math.min(t + 5, this.show.length))); // soon wanted
    let found = "", at = -1;
    for (const m of this.spans.here(Spans.of(t))?.moments ?? []) {
      if (m.time > t || m.time < at || !m.bar || (m.kind !== "bar" && m.kind !== "beat")) continue;
      at = m.time;
      found = `bar ${m.bar}, beat ${Math.max(1, m.beat)}`;
    }
    return found;
  }
}

// remarkable tells findings that want a person's eye from those that only say
// how far inside its limit a value lies.
export const remarkable = (f: Finding): boolean => f.severity !== "note" || !((f.margin ?? 0) > 0);

// timed tells findings about seconds from those about the show as a whole, as package page does.
export const timed = (f: Finding, length: number): boolean =>
  f.to > 0 && f.from < length && f.to - f.from < 0.9 * length;

// grave orders findings, the gravest first.
export const grave = (f: Finding): number => ["stop", "warn", "note"].indexOf(f.severity);
