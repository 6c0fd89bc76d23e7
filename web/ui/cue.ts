// A cue as it is written: its time, its number, the moment that it is tied to.
import { clock } from "./clock";
import type { Model } from "./model";
import { Spans } from "./spans";
import type { Change } from "./write";

// seconds is a time as it is written, in seconds: 1:02.350, 250 ms, 3 s; NaN for anything else.
export function seconds(text: string): number {
  const at = /^(?:(\d+):)?(\d+):(\d{1,2}(?:\.\d+)?)$/.exec(text.trim());
  if (at) return Number(at[1] ?? 0) * 3600 + Number(at[2]) * 60 + Number(at[3]);
  const long = /^(\d+(?:\.\d+)?) ?(ms|s|min)$/.exec(text.trim());
  return long ? Number(long[1]) * ({ ms: 0.001, s: 1, min: 60 }[long[2] ?? ""] ?? NaN) : NaN;
}

// numberBetween is a number for a cue behind one: the next whole one where that is free, else a
// point between.
export function numberBetween(before: string, taken: readonly string[], after?: string): string {
  const low = Number(before), high = after === undefined ? Infinity : Number(after);
  const free = (n: number): string | undefined => { const s = String(+n.toFixed(3)); return n > low && n < high && !taken.includes(s) ? s : undefined; };
  if (Number.isNaN(low)) return `${taken.length + 1}`;
  const whole = Math.floor(low) + 1;
  return (high === Infinity ? free(Math.ceil((low + 1) / 5) * 5) : undefined) ?? free(whole) ?? free((low + Math.min(high, whole)) / 2) ?? free(low + (Math.min(high, whole) - low) / 4) ?? `${low}.${taken.length}`;
}

type Heard = { kind: string; time: number; end: number };

// nearest is the moment that was heard nearest to a time, and no further than some seconds.
export async function nearest(model: Model, t: number, within: number): Promise<Heard | undefined> {
  const near = [Spans.of(Math.max(0, t - within)), Spans.of(Math.min(t + within, model.show.length - 0.001))];
  const all = (await Promise.all([...new Set(near)].map((k) => model.spans.ask(k)))).flatMap((p) => p.moments);
  return all.filter((m) => ["hit", "turn", "swell", "hush", "voice"].includes(m.kind) && Math.abs(m.time - t) <= within)
    .sort((x, y) => Math.abs(x.time - t) - Math.abs(y.time - t))[0];
}

export const anchorOf = (m: Heard): string => `${m.kind} ${clock(m.time, 3)}`;

// when is how a cue says its time: by a moment that was heard, or by the clock.
export const when = (t: number, m: Heard | undefined): { on: string } | { at: string } => (m ? { on: anchorOf(m) } : { at: clock(t, 3) });

// added is a new cue behind another, or before all.
export function added(file: string, behind: string | undefined, any: boolean, cue: NonNullable<Change["to"]>): Change {
  return { file, do: "add", at: behind !== undefined ? ["cues", { cue: behind }] : any ? ["cues", "first"] : ["cues"], to: cue };
}
