// The lighting plan: a true-to-scale drawing of the room from above.
import type { Contents, Type, Unit } from "./api";
import { h, svg } from "./dom";

type P = readonly [number, number];

export function plot(show: Contents): HTMLElement {
  const room = show.room, [w, d] = [room.size[0], room.size[1]];
  if (!w || !d) return h("p", { class: "quiet" }, "The room has no size, so there is no plan.");
  // Away from the audience is up the page: the stage is at the top.
  const at = (p: readonly number[]): P => [p[0] ?? 0, -(p[1] ?? 0)];
  const top = -(d - room.front), pad = 0.45;
  const out = svg("svg", { class: "plot", viewBox: `${-w / 2 - pad} ${top - pad} ${w + 2 * pad} ${d + 2 * pad}`, role: "img", "aria-label": `lighting plan: ${show.units.map((u) => u.name).join(", ")}` });
  for (let x = Math.ceil(-w / 2); x <= w / 2; x++) out.append(svg("path", { class: "grid", d: `M${x} ${top}V${room.front}` }));
  for (let y = Math.ceil(top); y <= room.front; y++) out.append(svg("path", { class: "grid", d: `M${-w / 2} ${y}H${w / 2}` }));
  out.append(svg("rect", { class: "wall", x: -w / 2, y: top, width: w, height: d }),
    svg("path", { class: "stageline", d: `M${-w / 2} 0H${w / 2}` }), svg("text", { class: "soft", x: -w / 2 + 0.1, y: -0.06 }, "front edge of the stage"));
  for (const b of room.boxes) {
    const [x, y] = at(b.centre);
    out.append(svg("rect", { class: "box", x: x - b.size[0] / 2, y: y - b.size[1] / 2, width: b.size[0], height: b.size[1] }, svg("title", {}, b.name)));
  }
  const names: (readonly [string, P])[] = [];
  for (const p of room.panels) {
    if (p.back || (p.kind !== "surface" && p.kind !== "object")) continue;
    if (Math.abs(p.normal[2]) > 0.7) {
      const [x, y] = at(p.corner), z = at([0, 1].map((i) => (p.corner[i] ?? 0) + (p.u[i] ?? 0) * p.width + (p.v[i] ?? 0) * p.height));
      out.append(svg("rect", { class: "level", x: Math.min(x, z[0]), y: Math.min(y, z[1]), width: Math.abs(z[0] - x), height: Math.abs(z[1] - y) }, svg("title", {}, p.name)));
      continue;
    }
    const a = at(p.corner), b = at([0, 1, 2].map((i) => (p.corner[i] ?? 0) + (p.u[i] ?? 0) * p.width));
    out.append(svg("path", { class: "thing " + p.kind, d: `M${a[0]} ${a[1]}L${b[0]} ${b[1]}` }, svg("title", {}, p.name)));
    if (p.kind === "surface") names.push([p.name, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2 + 0.2]]);
  }
  for (const p of room.points) {
    if (p.kind === "path") continue;
    const [x, y] = at(p.at);
    out.append(svg("circle", { class: "eye", cx: x, cy: y, r: 0.07 }, svg("title", {}, p.name)));
  }
  const units = show.units.map((u) => ({ u, t: show.types[u.type] }));
  for (const { u, t } of units) out.append(beam(u, t, at));
  const taken: P[] = [];
  for (const { u, t } of units) out.append(symbol(u, t, at, taken));
  // Cloths are named where units have left room.
  for (const [name, q] of names) {
    if (taken.some((o) => Math.abs(o[0] - q[0]) < 1.2 && Math.abs(o[1] - q[1]) < 0.25)) continue;
    taken.push(q);
    out.append(svg("text", { class: "soft", x: q[0], y: q[1], "text-anchor": "middle" }, name));
  }
  out.append(scaleBar(w, room.front));
  return h("figure", {}, out);
}

// beam draws the aim and, faintly, the field angle on the plan.
function beam(u: Unit, t: Type | undefined, at: (p: readonly number[]) => P): SVGGElement {
  const a = at(u.at), z = at(u.aim), g = svg("g");
  const far = Math.hypot(z[0] - a[0], z[1] - a[1]), turn = Math.atan2(z[1] - a[1], z[0] - a[0]);
  const half = (((t?.tenth || t?.half) ?? 0) * Math.PI) / 360;
  if (half > 0 && half < 1.3 && far > 0.1) {
    const tip = (s: number): string => `${a[0] + (far / Math.cos(half)) * Math.cos(turn + s * half)} ${a[1] + (far / Math.cos(half)) * Math.sin(turn + s * half)}`;
    g.append(svg("path", { class: "beam", fill: t?.emitters.every((e) => e.dark) ? "#5b3fa0" : "#c79a2e", d: `M${a[0]} ${a[1]}L${tip(-1)}L${tip(1)}Z` }));
  }
  g.append(svg("path", { class: "aim", d: `M${a[0]} ${a[1]}L${z[0]} ${z[1]}` }));
  return g;
}

// symbol draws a unit as its own outline from above: a bar as long as it is,
// with its openings; anything compact as a lens with a tail toward its yoke.
function symbol(u: Unit, t: Type | undefined, at: (p: readonly number[]) => P, taken: P[]): SVGGElement {
  const a = at(u.at), z = at(u.aim);
  const turn = (Math.atan2(z[1] - a[1], z[0] - a[0]) * 180) / Math.PI;
  const long = Math.max(t?.size[0] ?? 0, 0.24), cells = t?.cells ?? 1;
  const g = svg("g", { transform: `translate(${a[0]} ${a[1]}) rotate(${turn + 90})` }, svg("title", {}, `${u.name}: ${t?.name ?? ""}, universe ${u.universe}, slots ${u.address} to ${u.last}`));
  const dark = t?.emitters.every((e) => e.dark) ?? false;
  if (long > 0.45) {
    g.append(svg("rect", { class: "unit", x: -long / 2, y: -0.075, width: long, height: 0.15 }));
    for (let i = 0; i < cells; i++) g.append(svg("circle", { cx: -long / 2 + ((i + 0.5) * long) / cells, cy: 0, r: Math.min(0.045, long / cells / 3), fill: dark ? "#5b3fa0" : "#231e1a" }));
  } else {
    g.append(svg("path", { class: "unit", d: "M-.13 -.05A.13 .13 0 0 1 .13 -.05L.08 .17H-.08Z" }), svg("circle", { cx: 0, cy: -0.03, r: 0.05, fill: dark ? "#5b3fa0" : "#231e1a" }));
  }
  let y = a[1] + 0.36;
  while (taken.some((q) => Math.abs(q[0] - a[0]) < 0.7 && Math.abs(q[1] - y) < 0.17)) y += 0.18;
  taken.push([a[0], y]);
  return svg("g", {}, g, svg("text", { x: a[0], y, "text-anchor": "middle" }, u.name));
}

function scaleBar(w: number, bottom: number): SVGGElement {
  const x = w / 2 - 2.2, y = bottom + 0.22;
  return svg("g", {}, svg("path", { class: "wall", d: `M${x} ${y - 0.06}V${y}H${x + 2}V${y - 0.06}M${x + 1} ${y - 0.04}V${y}` }), svg("text", { class: "soft", x: x - 0.1, y: y + 0.02, "text-anchor": "end" }, "2 m"));
}
