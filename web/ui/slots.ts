// Who listens to which slots.
export type Span = { unit: string; universe: number; from: number; to: number; mode: string };

const last = 512; // ANSI E1.11

const meet = (a: Span, b: Span): boolean => a.universe === b.universe && a.from <= b.to && b.from <= a.to;

// shared is that two lamps of one mode stand at one address, to do the same.
const shared = (a: Span, b: Span): boolean => a.from === b.from && a.mode === b.mode;

// clashes says, as the checks do, which units listen to slots of others'.
export function clashes(spans: readonly Span[]): string[] {
  const out: string[] = [];
  spans.forEach((b, i) => {
    for (const a of spans.slice(0, i)) {
      if (!meet(a, b) || shared(a, b)) continue;
      const free = freeAddress(spans, b, true);
      out.push(`units ${a.unit} (${a.from} to ${a.to}) and ${b.unit} (${b.from} to ${b.to}) listen to the same slots of universe ${a.universe}` + (free === undefined ? "" : `: address ${free} is free for unit ${b.unit}`));
    }
  });
  for (const s of spans) if (s.to > last) out.push(`unit ${s.unit} at ${s.from} would need slots to ${s.to}, and a universe has ${last}`);
  return out;
}

// freeAddress is the lowest address from a unit's own on at which it would meet no other, then from 1; itself counts as one
// of the others unless it moves.
export function freeAddress(spans: readonly Span[], s: Span, moves = false): number | undefined {
  const long = s.to - s.from + 1, others = spans.filter((o) => o.universe === s.universe && !(moves && o.unit === s.unit));
  const fits = (from: number): boolean => from + long - 1 <= last && !others.some((o) => from <= o.to && o.from <= from + long - 1);
  for (let n = Math.max(s.from, 1); n <= last; n++) if (fits(n)) return n;
  for (let n = 1; n < s.from; n++) if (fits(n)) return n;
  return undefined;
}
