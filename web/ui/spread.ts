// Where things stand on a page when several want the same place.

export type Wish = { want: number; size: number };

// spread returns tops for blocks in order so that none overlaps and the sum of
// squared distances from what they want is least (pool adjacent violators),
// kept within 0 and room where they fit.
export function spread(wishes: readonly Wish[], room: number, gap: number): number[] {
  type Pool = { from: number; n: number; sum: number; size: number };
  const pools: Pool[] = [];
  let before = 0;
  wishes.forEach((w, i) => {
    // Shifted by what stands above it, every block wants one common coordinate.
    pools.push({ from: i, n: 1, sum: w.want - before, size: w.size + gap });
    before += w.size + gap;
    for (let last = pools.length - 1; last > 0; last--) {
      const a = pools[last - 1], b = pools[last];
      if (!a || !b || a.sum / a.n <= b.sum / b.n) break;
      pools.splice(last - 1, 2, { from: a.from, n: a.n + b.n, sum: a.sum + b.sum, size: a.size + b.size });
    }
  });
  const most = Math.max(0, room - before + gap);
  const tops: number[] = [];
  let above = 0;
  for (const p of pools) {
    const shift = Math.min(Math.max(p.sum / p.n, 0), most);
    for (let i = p.from; i < p.from + p.n; i++) {
      tops.push(shift + above);
      above += (wishes[i]?.size ?? 0) + gap;
    }
  }
  return tops;
}
