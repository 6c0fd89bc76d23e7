// The room by hand: what stands in it is dragged, whole and by its corners, walls too, with its figures beside.
import type { Standing, Stood } from "./api";
import { h, svg } from "./dom";
import { keyed } from "./keyed";
import { labelled } from "./labels";
import { metre, metresIn } from "./metres";
import type { Model } from "./model";
import { Pane } from "./pane";
import type { Pencil } from "./pencil";
import { notLoaded } from "./rigging";
import { drags, drawnTo, plus, round, Sheet, with3, type Fine, type P3 } from "./sheet";
import { changes, figures, file, holds, outline, pathOf, type Hold } from "./standing";
import { insideOf, wallChanges, wallsOf, type Hall, type Wall } from "./walls";
import { keyOf, written, type Change, type Written } from "./write";

const kinds: Record<string, string> = { surfaces: "surface", objects: "object", boxes: "box", pillars: "pillar", audience: "seat", performers: "performer", paths: "path", marks: "mark" };
const nameOf = (s: Standing): string => `${s.list} ${s.index >= 0 ? s.index : s.name}`;
const hallOf = (s: Stood): Hall => ({ size: s.size as P3, front: s.front });

const box = (): SVGElement => svg("path", { d: "M-16 -8H16V8H-16Z" }), dot = (): SVGElement => svg("circle", { r: 7 }), line = (): SVGElement => svg("path", { d: "M-22 0H22" });

const legend = (): HTMLElement => h("ul", { class: "keyed setting" },
  keyed("thing", line(), "surface"), keyed("thing objects", line(), "painted object"), keyed("thing boxes", box(), "box or pillar"), keyed("thing", dot(), "seat or performer"),
  keyed("thing marks", dot(), "mark"), keyed("thing paths", line(), "path"), keyed("thing chosen", line(), "what is chosen"));

export class Setting {
  readonly element: HTMLElement;
  readonly #pane: Pane;
  readonly #wrong = h("p", { class: "wrong", role: "alert" });
  readonly #waits = h("p", { class: "quiet working", role: "status" });
  readonly #choice = h("select", { "aria-label": "what stands in the room", change: () => this.choose(this.#choice.value) });
  readonly #figures = h("div", { class: "figures some" });
  readonly #drawings = h("div", { class: "sheets" });
  #sheets: readonly Sheet[] = [];
  #things: Standing[];
  #hall: Hall;
  #chosen = "";
  #was: Promise<Written> = Promise.resolve(null); // the chosen thing as it is written; the room where nothing is chosen
  #written: readonly Change[] = [];
  #timer: ReturnType<typeof setTimeout> | undefined;
  #later: (() => void) | undefined; // another edition that came while a hand held something
  #held: { was: Standing | Hall; hold: string } | undefined;

  constructor(model: Model, stood: Stood, private readonly pencil: Pencil) {
    this.#things = [...stood.standing];
    this.#hall = hallOf(stood);
    this.#pane = new Pane(model, 160);
    this.#pane.onFailed = (why) => { this.#wrong.textContent = why; };
    this.element = h("section", { class: "rigging setting", "aria-label": "The room by hand", keydown: (e) => this.#key(e as KeyboardEvent) },
      h("div", { class: "drawings" }, this.#drawings, legend()),
      h("div", { class: "besides" }, this.#pane.element, h("div", { class: "slip" }, h("p", { class: "pick" }, h("label", {}, "what", this.#choice)), this.#figures, this.#wrong, this.#waits,
        h("p", { class: "quiet" }, "Drag a thing by its middle, or by a corner; walls too. It is drawn to half metres; Alt: to nothing; Shift: by millimetres; Escape: as it was. With the keyboard: Tab to a corner, arrows 10 cm, Shift with arrows 1 cm."))));
    this.#lay();
    this.choose(this.#things[0] ? nameOf(this.#things[0]) : "room");
    new ResizeObserver(() => { if (!this.#held) this.#draw(); }).observe(this.#drawings);
  }

  show(t: number): void {
    this.#pane.show(t);
  }

  // lay makes the sheets for a room of this size.
  #lay(): void {
    const room = insideOf(this.#hall);
    this.#sheets = [new Sheet(0, 1, room, "Plan: what stands in the room"), new Sheet(1, 2, room, "Section from the left wall: what stands in the room")];
    this.#drawings.replaceChildren(...this.#sheets.map((s, i) => h("figure", {}, s.element, h("figcaption", {}, i ? "from the side: heights" : "from above"))));
  }

  get #thing(): Standing | undefined {
    return this.#things.find((s) => nameOf(s) === this.#chosen);
  }

  choose(what: string): void {
    this.#settle();
    this.#chosen = what;
    this.#wrong.textContent = "";
    this.#read();
    this.#choice.replaceChildren(h("option", { value: "room" }, "the room itself"), ...this.#things.map((s) => h("option", { value: nameOf(s) }, `${kinds[s.list] ?? ""} ${s.name}`)));
    this.#choice.value = what;
    this.#draw();
  }

  // read asks for the chosen thing as it is written; for the room where nothing is chosen.
  #read(): void {
    const s = this.#thing;
    this.#was = written(file, s ? pathOf(s) : []).catch(() => null);
  }

  // seen are changes with what was seen where they are made.
  async #seen(list: readonly Change[]): Promise<Change[]> {
    const skip = this.#thing ? 2 : 0, all = await this.#was;
    return list.map((c) => {
      let was = all;
      for (const k of c.at.slice(skip)) was = Array.isArray(was) && typeof k === "number" ? (was as Written[])[k] ?? null : keyOf(was, String(k));
      return { ...c, was };
    });
  }

  // differs is what is written where something has become another.
  #differs(was: Standing | Hall): Change[] {
    const s = this.#thing;
    return "front" in was ? wallChanges(was, this.#hall) : s ? changes(was, s) : [];
  }

  #take(is: Standing | Hall): void {
    if ("front" in is) this.#hall = is;
    else this.#things = this.#things.map((s) => (nameOf(s) === this.#chosen ? is : s));
  }

  #move(is: Standing | Hall, was: Standing | Hall): void {
    this.#take(is);
    this.#draw();
    this.#wrong.textContent = "";
    this.#pane.try([...this.#written, ...this.#differs(was)], true);
  }

  // settle writes what a hand or keys have moved, or leaves it as it was.
  #settle(keep = true): void {
    clearTimeout(this.#timer);
    const held = this.#held, later = this.#later;
    this.#held = this.#later = undefined;
    if (held) void this.#write(held.was, keep).then(later);
  }

  async #write(was: Standing | Hall, keep: boolean): Promise<void> {
    const list = this.#differs(was);
    if (keep && list.length && await this.pencil.write(await this.#seen(list))) {
      this.#written = [...this.#written, ...list];
      this.#waits.textContent = "It is written. The light in the room is being worked out.";
      void this.pencil.look();
      this.#read();
      return;
    }
    if (keep && list.length) {
      this.#wrong.textContent = this.pencil.said;
      this.#read();
    }
    this.#take(was);
    this.#draw();
    this.#pane.try(this.#written.length ? this.#written : undefined, true);
  }

  // renew goes over to another edition of the room.
  renew(model: Model, stood: Stood): void {
    if (this.#held) {
      this.#later = () => this.renew(model, stood);
      return;
    }
    const wrote = this.#written.length > 0 && (this.#things.some((s) => { const is = stood.standing.find((x) => nameOf(x) === nameOf(s)); return is && changes(is, s).length > 0; }) || wallChanges(hallOf(stood), this.#hall).length > 0);
    this.#written = [];
    this.#waits.textContent = "";
    this.#things = [...stood.standing];
    this.#hall = hallOf(stood);
    this.#lay();
    this.#pane.renew(model);
    this.#pane.try(undefined, false);
    this.choose(this.#things.some((s) => nameOf(s) === this.#chosen) ? this.#chosen : "room");
    if (wrote) this.#wrong.textContent = notLoaded;
  }

  // drawn is a place as half metres and other things draw it.
  #drawn(p: P3, sheet: Sheet, how: Fine): P3 {
    let out = p;
    for (const k of [sheet.a, sheet.b]) out = with3(out, k, drawnTo(p[k], [], sheet.pixel, how).at);
    return out;
  }

  #dragHold(e: SVGElement, sheet: Sheet, what: string, name: string): void {
    let hold: Hold | undefined, was: Standing | undefined;
    drags(e, sheet, {
      begins: () => {
        if (what !== this.#chosen) this.choose(what);
        this.#settle();
        was = this.#thing;
        hold = was && holds(was, sheet.a, sheet.b).find((x) => x.name === name);
        return !!hold;
      },
      to: (by, how) => {
        if (!hold || !was) return;
        this.#held ??= { was, hold: name };
        this.#move(hold.to(this.#drawn(plus(hold.at, with3(with3([0, 0, 0], sheet.a, by[0]), sheet.b, by[1])), sheet, how)), was);
      },
      ends: (goes) => this.#settle(goes),
    });
  }

  #dragWall(e: SVGElement, sheet: Sheet, wall: Wall): void {
    let was = this.#hall;
    drags(e, sheet, {
      begins: () => {
        this.choose("room");
        was = this.#hall;
        return true;
      },
      to: (by, how) => {
        this.#held ??= { was, hold: wall.name };
        this.#move(wall.to(drawnTo(wall.at + (wall.axis === sheet.a ? by[0] : by[1]), [], sheet.pixel, how).at), was);
      },
      ends: (goes) => this.#settle(goes),
    });
  }

  #key(e: KeyboardEvent): void {
    const of = e.target instanceof SVGElement ? e.target.dataset : undefined, name = of?.["hold"];
    if (!name || e.ctrlKey || e.metaKey || e.altKey) return;
    if (e.key === "Enter" || e.key === "Escape") {
      e.preventDefault();
      return this.#settle(e.key === "Enter");
    }
    const sheet = this.#sheets.find((s) => s.element.contains(e.target as Node)), step = e.shiftKey ? 0.01 : 0.1;
    const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] }[e.key];
    if (!by || !sheet) return;
    e.preventDefault();
    if (this.#held && this.#held.hold !== name) this.#settle();
    this.#stepped(sheet, name, by[0] ?? 0, by[1] ?? 0);
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#settle(), 900);
  }

  // stepped moves what has the focus by keys.
  #stepped(sheet: Sheet, name: string, a: number, b: number): void {
    const s = this.#thing, hold = s && holds(s, sheet.a, sheet.b).find((x) => x.name === name), wall = wallsOf(this.#hall).find((w) => w.name === name);
    if (s && hold) {
      this.#held ??= { was: s, hold: name };
      this.#move(hold.to(with3(with3(hold.at, sheet.a, round(hold.at[sheet.a] + a, false)), sheet.b, round(hold.at[sheet.b] + b, false))), this.#held.was);
    } else if (!s && wall) {
      this.#held ??= { was: this.#hall, hold: name };
      this.#move(wall.to(round(wall.at + (wall.axis === sheet.a ? a : b), false)), this.#held.was);
    }
  }

  #draw(): void {
    for (const s of this.#sheets) this.#drawIn(s);
    this.#fill();
  }

  #drawIn(s: Sheet): void {
    const at = document.activeElement, had = at instanceof SVGElement && s.element.contains(at) ? at.dataset["hold"] : undefined, one = this.#thing;
    s.over.replaceChildren(...this.#walls(s), ...this.#things.filter((x) => x !== one).map((x) => this.#shape(s, x, false)), ...(one ? [this.#shape(s, one, true)] : []),
      labelled(this.#things.filter((x) => x.list !== "paths").map((x) => ({ text: x.name, at: s.xy(x.at as P3), first: x === one })), s),
      ...(one ? holds(one, s.a, s.b).map((x) => this.#hold(s, x, one)) : []));
    if (had) s.over.querySelector<SVGElement>(`[data-hold="${CSS.escape(had)}"]`)?.focus();
  }

  #walls(s: Sheet): SVGElement[] {
    const box = insideOf(this.#hall);
    return wallsOf(this.#hall).filter((w) => w.axis === s.a || w.axis === s.b).map((w) => {
      const other = w.axis === s.a ? s.b : s.a, line = [with3(with3(box.low, w.axis, w.at), other, box.low[other]), with3(with3(box.low, w.axis, w.at), other, box.high[other])];
      const e = svg("g", { class: "wall", "data-hold": w.name, tabindex: this.#chosen === "room" ? 0 : -1, role: "button", "aria-label": `${w.name}, at ${w.at.toFixed(2)} m` }, svg("path", { class: "broad", d: s.path(line, false) }), svg("path", { class: "walls", d: s.path(line, false) }));
      this.#dragWall(e, s, w);
      return e;
    });
  }

  #shape(s: Sheet, x: Standing, chosen: boolean): SVGElement {
    const what = nameOf(x), point = x.list === "audience" || x.list === "performers" || x.list === "marks", [cx, cy] = s.xy(x.at as P3);
    const shape = x.list === "paths" ? svg("path", { d: s.path(x.points as P3[], false) }) : point ? svg("circle", { cx, cy, r: 5 * 100 * s.pixel }) : svg("path", { d: s.path(outline(x, s.a, s.b)) });
    const e = svg("g", { class: `thing ${x.list}${chosen ? " chosen" : ""}`, "data-thing": what }, svg("title", {}, `${kinds[x.list]} ${x.name}`), shape.cloneNode() as SVGElement, shape);
    e.firstElementChild?.nextElementSibling?.setAttribute("class", "broad");
    this.#dragHold(e, s, what, "all of it");
    e.addEventListener("click", () => { if (what !== this.#chosen) this.choose(what); });
    return e;
  }

  #hold(s: Sheet, x: Hold, of: Standing): SVGElement {
    const [cx, cy] = s.xy(x.at), r = 5 * 100 * s.pixel, whole = x.name === "all of it";
    const e = svg("g", { class: "hold", "data-hold": x.name, tabindex: 0, role: "button", "aria-label": `${of.name}, ${x.name}, at ${x.at.map((v) => v.toFixed(2)).join(", ")} m` }, svg("circle", { class: "hit", cx, cy, r: 2.2 * r }),
      whole ? svg("circle", { class: "knob", cx, cy, r }) : svg("rect", { class: "knob", x: cx - r, y: cy - r, width: 2 * r, height: 2 * r }));
    this.#dragHold(e, s, nameOf(of), x.name);
    return e;
  }

  #fill(): void {
    const s = this.#thing, list = s ? figures(s) : hallFigures(this.#hall), at = document.activeElement, had = at instanceof HTMLElement && this.#figures.contains(at);
    if (had) return; // a field that is typed in stays as it is
    this.#figures.replaceChildren(...list.map((f) => {
      const e = h("input", { "aria-label": f.name, value: metre(f.value), inputmode: "decimal", change: () => {
        const v = metresIn(e.value), was = this.#thing ?? this.#hall;
        e.setAttribute("aria-invalid", String(v === undefined));
        if (v === undefined) return;
        this.#take(f.to(v));
        void this.#write(was, true).then(() => { e.setAttribute("aria-invalid", String(this.#wrong.textContent !== "")); });
      } });
      return h("label", {}, f.name, e);
    }));
  }
}

type HallFigure = { name: string; value: number; to: (v: number) => Hall };

function hallFigures(hall: Hall): HallFigure[] {
  const [w, d, up] = hall.size;
  return [
    { name: "wide", value: w, to: (v) => ({ ...hall, size: [v, d, up] }) }, { name: "deep", value: d, to: (v) => ({ ...hall, size: [w, v, up] }) }, { name: "high", value: up, to: (v) => ({ ...hall, size: [w, d, v] }) },
    { name: "stage front, from the wall behind the audience", value: hall.front, to: (v) => ({ ...hall, front: v }) },
  ];
}
