// The show as the pages hold it: columns unpacked, things found by time.
import type { Contents, Cue, Finding, Look } from "./api";
import { bytes, type Sound } from "./data";

export type Moment = {
  kind: string; time: number; end: number; strength: number; change: number; why: string; label: string; bar: number; beat: number;
};

export class Model {
  readonly sound: Sound;
  readonly moments: readonly Moment[];
  readonly swatches: readonly Uint8Array[];

  constructor(readonly show: Contents) {
    const s = show.sound, m = show.moments;
    this.sound = { hop: s.hop, low: bytes(s.low), mid: bytes(s.mid), high: bytes(s.high) };
    this.moments = m.kind.map((kind, i) => ({
      kind, time: m.time[i] ?? 0, end: m.end[i] ?? 0, strength: m.strength[i] ?? 0,
      change: m.change[i] ?? 0, why: m.why[i] ?? "", label: m.label[i] ?? "", bar: m.bar[i] ?? 0, beat: m.beat[i] ?? 0,
    }));
    this.swatches = show.looks.map((l) => bytes(l.swatches));
  }

  look(c: Cue): Look | undefined {
    return this.show.looks[c.look];
  }

  // cueAt is the last cue that has started at t, as a place in show.cues, or -1.
  cueAt(t: number): number {
    let low = 0, high = this.show.cues.length;
    while (low < high) {
      const mid = (low + high) >> 1;
      if ((this.show.cues[mid]?.start ?? 0) <= t + 1e-4) low = mid + 1;
      else high = mid;
    }
    return low - 1;
  }

  within(from: number, to: number): Moment[] {
    return this.moments.filter((m) => m.time < to && Math.max(m.end, m.time) >= from);
  }

  barAt(t: number): string {
    let found = "";
    for (const m of this.moments) {
      if (m.time > t) break;
      if (m.bar && (m.kind === "bar" || m.kind === "beat")) found = `bar ${m.bar}, beat ${Math.max(1, m.beat)}`;
    }
    return found;
  }
}

// remarkable tells findings that want a person's eye from those that only say
// how far inside its limit a value lies.
export const remarkable = (f: Finding): boolean => f.severity !== "note" || !((f.margin ?? 0) > 0);

// timed tells findings about seconds from those about the show as a whole.
export const timed = (f: Finding, length: number): boolean =>
  f.to > 0 && f.from < length && f.to - f.from < 0.9 * length;
