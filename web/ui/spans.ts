// The book by its spans: what stands beside a minute is fetched when it comes into view, and kept.
import type { Cue, Finding, Span } from "./api";
import { answer, bytes } from "./data";

export type Moment = {
  kind: string; time: number; end: number; strength: number; change: number; why: string; label: string; bar: number; beat: number;
};

export type Sound = { hop: number; from: number; low: Uint8Array; mid: Uint8Array; high: Uint8Array };

export type Piece = { from: number; to: number; sound: Sound; moments: readonly Moment[]; cues: readonly Cue[]; findings: readonly Finding[] };

export const spanSeconds = 60;

// patience is how long nothing is asked again that did not arrive.
const patience = 2000; // ms

function unpacked(s: Span): Piece {
  const { sound, moments: m } = s;
  return {
    from: s.from, to: s.to, cues: s.cues, findings: s.findings,
    sound: { hop: sound.hop, from: sound.from, low: bytes(sound.low), mid: bytes(sound.mid), high: bytes(sound.high) },
    moments: m.kind.map((kind, i) => ({
      kind, time: m.time[i] ?? 0, end: m.end[i] ?? 0, strength: m.strength[i] ?? 0,
      change: m.change[i] ?? 0, why: m.why[i] ?? "", label: m.label[i] ?? "", bar: m.bar[i] ?? 0, beat: m.beat[i] ?? 0,
    })),
  };
}

export class Spans {
  readonly #kept = new Map<number, Piece>();
  readonly #asked = new Map<number, Promise<Piece>>();
  #failed = -Infinity;
  #told: () => void = () => {};

  // watch is told whenever a span has come.
  watch(told: () => void): void {
    this.#told = told;
  }

  // of is the number of the span in which a second lies.
  static of(t: number): number {
    return Math.max(0, Math.floor(t / spanSeconds));
  }

  // here is a span that was fetched. One that was not is asked for, unless that went wrong just now.
  here(i: number): Piece | undefined {
    const kept = this.#kept.get(i);
    if (!kept && performance.now() - this.#failed > patience) this.ask(i).catch(() => undefined);
    return kept;
  }

  ask(i: number): Promise<Piece> {
    let p = this.#asked.get(i);
    if (!p) {
      p = answer<Span>(`/api/span?from=${i * spanSeconds}&to=${(i + 1) * spanSeconds}`).then((s) => {
        const piece = unpacked(s);
        this.#kept.set(i, piece);
        this.#told();
        return piece;
      });
      p.catch(() => {
        this.#asked.delete(i);
        this.#failed = performance.now();
      });
      this.#asked.set(i, p);
    }
    return p;
  }
}
