// Where lamps hang and what they aim at, dragged in the plan and in a section: while the hand moves the
// room is shown by what falls straight from the lamp, and one edit is written when it is let go.
import type { Rig, Unit } from "./api";
import { h, svg } from "./dom";
import { Figures } from "./figures";
import { labelled } from "./labels";
import { place3 } from "./metres";
import { footprint } from "./reach";
import { drags, drawnTo, plus, round, same, Sheet, with3, type Box, type Fine, type P3 } from "./sheet";
import type { Change } from "./write";

export type Part = "at" | "aim";
type Lamp = { name: string; at: P3; aim: P3; half: number; tenth: number; size: P3; row: P3; on: string };

// Told is what is done with a lamp that a hand moves.
export type Told = {
  chosen: (unit: string) => void;
  tries: (changes: readonly Change[]) => void; // it is there now, and nothing is written
  writes: (changes: readonly Change[]) => Promise<boolean>;
  leaves: () => void; // it is back where it was
};

const file = "rig.yaml";

function lampOf(u: Unit, rig: Rig): Lamp {
  const t = rig.types[u.type];
  return { name: u.name, at: [...u.at], aim: [...u.aim], half: t?.half ?? 0, tenth: t?.tenth ?? 0, size: t?.size ?? [0.2, 0.2, 0.2], row: [...u.row], on: u.on };
}

export class Hang {
  readonly element: HTMLElement;
  readonly figures = new Figures((part, p) => void this.put(part, p));
  readonly sheets: readonly Sheet[];
  #lamps: Lamp[];
  #chosen = 0;
  #later: (() => void) | undefined; // another edition that came while a hand held a lamp
  #held: { part: Part; from: P3 } | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(rig: Rig, room: Box, private readonly told: Told, backdrop: (s: Sheet) => void) {
    this.#lamps = rig.units.map((u) => lampOf(u, rig));
    this.sheets = [new Sheet(0, 1, room, "Plan: lamps and what they aim at"), new Sheet(1, 2, room, "Section from the left wall: heights")];
    this.sheets.forEach(backdrop);
    this.element = h("div", { class: "sheets" }, ...this.sheets.map((s, i) => h("figure", {}, s.element, h("figcaption", {}, i ? "from the side: heights" : "from above"))));
    this.element.addEventListener("keydown", (e) => this.#key(e));
    this.draw();
    new ResizeObserver(() => { if (!this.#held) this.draw(); }).observe(this.element);
  }

  get unit(): string {
    return this.#lamps[this.#chosen]?.name ?? "";
  }

  get lamp(): Lamp | undefined {
    return this.#lamps[this.#chosen];
  }

  // renew takes lamps from another edition of the rig.
  renew(rig: Rig): void {
    const was = this.unit;
    if (this.#held) {
      this.#later = () => this.renew(rig);
      return;
    }
    this.#lamps = rig.units.map((u) => lampOf(u, rig));
    this.#chosen = Math.max(0, this.#lamps.findIndex((l) => l.name === was));
    this.draw();
  }

  choose(unit: string, focus: Part | undefined = undefined): void {
    const i = this.#lamps.findIndex((l) => l.name === unit);
    if (i < 0) return;
    if (i !== this.#chosen) {
      this.#settle();
      this.#chosen = i;
      this.told.chosen(unit);
      this.draw();
    }
    if (focus) this.element.querySelector<SVGElement>(`[data-grip="${focus}"]`)?.focus();
  }

  // changes are what is written where a part of the chosen lamp has come to.
  #changes(part: Part): Change[] {
    const l = this.lamp;
    return l ? [{ file, do: "set", at: ["units", { unit: l.name }, part], to: place3(l[part]) }] : [];
  }

  // put sets a part and writes it, as a person types it.
  async put(part: Part, p: P3): Promise<void> {
    const l = this.lamp;
    if (!l || same(l[part], p)) return;
    const from = l[part];
    l[part] = p;
    this.draw();
    await this.#write(part, from);
  }

  async #write(part: Part, from: P3): Promise<void> {
    const l = this.lamp;
    if (!l || same(l[part], from)) return this.told.leaves();
    if (await this.told.writes(this.#changes(part))) return;
    l[part] = from;
    this.draw();
    this.told.leaves();
  }

  // move has a part follow the hand.
  #move(part: Part, p: P3): void {
    const l = this.lamp;
    if (!l) return;
    l[part] = p;
    this.draw(true);
    this.told.tries(this.#changes(part));
  }

  #key(e: KeyboardEvent): void {
    const part = e.target instanceof SVGElement ? (e.target.dataset["grip"] as Part | undefined) : undefined, l = this.lamp;
    if (!part || !l || e.ctrlKey || e.metaKey || e.altKey) return;
    const sheet = this.sheets.find((s) => s.element.contains(e.target as Node)), step = e.shiftKey ? 0.01 : 0.1;
    const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] }[e.key];
    if (e.key === "Escape" || e.key === "Enter") {
      e.preventDefault();
      this.#settle(e.key === "Enter");
    } else if (e.key === "n" || e.key === "p") {
      const n = this.#lamps.length, next = this.#lamps[(this.#chosen + (e.key === "n" ? 1 : n - 1)) % n];
      if (next) this.choose(next.name, part);
    } else if (by && sheet) {
      e.preventDefault();
      this.#held ??= { part, from: l[part] };
      if (this.#held.part !== part) return;
      const p = with3(with3(l[part], sheet.a, round(l[part][sheet.a] + (by[0] ?? 0), false)), sheet.b, round(l[part][sheet.b] + (by[1] ?? 0), false));
      this.#move(part, p);
      clearTimeout(this.#timer);
      this.#timer = setTimeout(() => this.#settle(), 900);
    }
  }

  // settle writes what keys have moved, or leaves it as it was.
  #settle(keep = true): void {
    clearTimeout(this.#timer);
    const held = this.#held, l = this.lamp, later = this.#later;
    this.#held = this.#later = undefined;
    if (!held || !l) return later?.();
    if (keep) return void this.#write(held.part, held.from).then(later);
    l[held.part] = held.from;
    this.draw();
    this.told.leaves();
    later?.();
  }

  // drag has a grip of the chosen lamp dragged in a sheet.
  #drag(e: SVGElement, sheet: Sheet, part: Part, unit: string): void {
    drags(e, sheet, {
      begins: () => {
        this.choose(unit);
        const l = this.lamp;
        this.#settle();
        if (l) this.#held = { part, from: l[part] };
        return !!l;
      },
      to: (by, how) => {
        const l = this.lamp, from = this.#held?.from;
        if (l && from) this.#move(part, this.#drawn(plus(with3(with3([0, 0, 0], sheet.a, by[0]), sheet.b, by[1]), from), sheet, part, how));
      },
      ends: (goes) => this.#settle(goes),
    });
    e.addEventListener("pointerup", () => { if (this.#held && this.lamp && same(this.lamp[part], this.#held.from)) this.#held = undefined; });
  }

  #guides: { axis: 0 | 1 | 2; at: number }[] = [];

  // drawn is a place as other lamps of the bar or stand, those in one line with it, and half metres draw it.
  #drawn(p: P3, sheet: Sheet, part: Part, how: Fine): P3 {
    const me = this.lamp, others = part === "at" ? this.#lamps.filter((l) => l !== me) : [];
    this.#guides = [];
    let out = p;
    for (const k of [sheet.a, sheet.b]) {
      const d = drawnTo(p[k], others.map((l) => l.at[k]), sheet.pixel, how);
      if (d.line !== undefined) this.#guides.push({ axis: k, at: d.line });
      out = with3(out, k, d.at);
    }
    return out;
  }

  // draw draws all lamps; quick, while one moves, that one alone.
  draw(quick = false): void {
    if (!this.#held) this.#guides = [];
    for (const s of this.sheets) this.#drawIn(s, quick);
    const l = this.lamp;
    if (l) this.figures.show({ at: l.at, aim: l.aim });
  }

  #drawIn(s: Sheet, quick: boolean): void {
    const l = this.lamp;
    if (quick && l) {
      s.over.querySelector(".reach")?.replaceWith(this.#reach(s, l));
      for (const part of ["at", "aim"] as const) {
        const [x, y] = s.xy(l[part]);
        for (const e of s.over.querySelectorAll<SVGElement>(`[data-grip="${part}"]`)) e.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
      }
      return;
    }
    const had = document.activeElement instanceof SVGElement && s.element.contains(document.activeElement) ? document.activeElement.dataset["grip"] : undefined;
    s.over.replaceChildren(...(l ? [this.#reach(s, l)] : []), ...this.#lamps.filter((o) => o !== l).map((o) => this.#mark(s, o, false)), ...(l ? [this.#aim(s, l), this.#mark(s, l, true)] : []),
      labelled(this.#lamps.map((o) => ({ text: o.name, at: s.xy(o.at), first: o === l })), s));
    if (had) s.over.querySelector<SVGElement>(`[data-grip="${had}"]`)?.focus();
  }

  // reach is the light of the chosen lamp where it meets floor and walls: whole lines for half of its peak, dashes for a tenth.
  #reach(s: Sheet, l: Lamp): SVGGElement {
    const g = svg("g", { class: "reach" });
    for (const [angle, kind] of [[l.tenth, "tenth"], [l.half, "half"]] as const) {
      if (angle > 0) g.append(svg("path", { class: kind, d: s.path(footprint(l.at, l.aim, angle, s.room)) }));
    }
    g.append(svg("path", { class: "beam", d: s.path([l.at, l.aim], false) }));
    for (const { axis, at } of this.#guides) if (axis === s.a || axis === s.b) g.append(svg("path", { class: "guide", d: s.path([with3(s.room.low, axis, at), with3(s.room.high, axis, at)], false) }));
    return g;
  }

  #mark(s: Sheet, l: Lamp, chosen: boolean): SVGElement {
    const [x, y] = s.xy(l.at), long = Math.max(20, 100 * l.size[0]), deep = Math.max(16, 100 * l.size[1]), [rx, ry] = [l.row[s.a], -l.row[s.b]];
    const turn = Math.abs(rx) + Math.abs(ry) > 0.1 ? (Math.atan2(ry, rx) * 180) / Math.PI : 0;
    const e = svg("g", { class: chosen ? "lamp chosen" : "lamp", transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`, "data-lamp": l.name, ...(chosen && { "data-grip": "at" }), tabindex: chosen ? 0 : -1, role: "button", "aria-label": `${l.name}: it hangs at ${l.at.map((v) => v.toFixed(2)).join(", ")} m` },
      svg("title", {}, l.name), svg("circle", { class: "hit", r: (1400 * s.pixel).toFixed(0) }), svg("rect", { x: -long / 2, y: -deep / 2, width: long, height: deep, transform: `rotate(${turn.toFixed(1)})` }));
    this.#drag(e, s, "at", l.name);
    e.addEventListener("click", () => this.choose(l.name));
    return e;
  }

  #aim(s: Sheet, l: Lamp): SVGElement {
    const [x, y] = s.xy(l.aim);
    const e = svg("g", { class: "aim", transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`, "data-grip": "aim", tabindex: 0, role: "button", "aria-label": `${l.name}: it aims at ${l.aim.map((v) => v.toFixed(2)).join(", ")} m` },
      svg("circle", { class: "hit", r: (1400 * s.pixel).toFixed(0) }), svg("circle", { class: "ring", r: 14 }), svg("path", { d: "M-22 0H22M0 -22V22" }));
    this.#drag(e, s, "aim", l.name);
    return e;
  }
}
