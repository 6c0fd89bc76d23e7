// Lamps by hand: the plan and the section, the figures, and the room as it would be.
import type { Rig, Room } from "./api";
import { backdrop, boxOf } from "./backdrop";
import { h, svg } from "./dom";
import { Hang } from "./hang";
import { keyed } from "./keyed";
import { place3 } from "./metres";
import type { Model } from "./model";
import { Pane } from "./pane";
import type { Pencil } from "./pencil";
import { keyOf, written, type Change, type Written } from "./write";

const legend = (): HTMLElement => h("ul", { class: "keyed" },
  keyed("lamp", svg("rect", { x: -14, y: -8, width: 28, height: 16 }), "a lamp"), keyed("lamp chosen", svg("rect", { x: -14, y: -8, width: 28, height: 16 }), "the chosen one"),
  keyed("aim", svg("path", { d: "M-14 0H14M0 -14V14" }), "what it aims at"),
  keyed("reach", svg("path", { class: "half", d: "M-22 8H22V-8H-22Z" }), "its light on floor and walls of the empty room: half as bright as in the middle (beam angle)"),
  keyed("reach", svg("path", { class: "tenth", d: "M-22 8H22V-8H-22Z" }), "a tenth (field angle)"));

// notLoaded is that what was written makes no show.
export const notLoaded = "It is written, but the show does not load with it: the Checks page says why. Take it back, or mend it.";

export class Rigging {
  readonly element: HTMLElement;
  readonly hang: Hang;
  readonly #pane: Pane;
  readonly #wrong = h("p", { class: "wrong", role: "alert" });
  readonly #waits = h("p", { class: "quiet working", role: "status" });
  readonly #units: HTMLSelectElement;
  readonly #light: HTMLSelectElement;
  #is: Promise<Written> = Promise.resolve(null);
  #written: readonly Change[] = []; // and not worked out yet
  onChosen: (unit: string) => void = () => {};

  constructor(private model: Model, private rig: Rig, room: Room, private readonly pencil: Pencil) {
    this.#pane = new Pane(model);
    this.#pane.onFailed = (why) => { this.#wrong.textContent = why; };
    this.hang = new Hang(rig, boxOf(room), {
      chosen: (u) => this.#choose(u),
      tries: (c) => this.#try([...this.#written, ...c], true),
      writes: (c) => this.#write(c),
      leaves: () => this.#try(this.#written, false),
    }, (s) => backdrop(s, room));
    this.#units = h("select", { "aria-label": "lamp", change: () => this.hang.choose(this.#units.value) });
    this.#light = h("select", { "aria-label": "light", change: () => this.#look() });
    this.#fill();
    this.element = h("section", { class: "rigging", "aria-label": "Lamps by hand" },
      h("div", { class: "drawings" }, this.hang.element, legend()),
      h("div", { class: "besides" }, this.#pane.element,
        h("div", { class: "slip" }, h("p", { class: "pick" }, h("label", {}, "lamp", this.#units), h("label", {}, "seen with", this.#light)), this.hang.figures.element, this.#wrong, this.#waits,
          h("p", { class: "quiet" }, "Drag a lamp or its cross; it is drawn to lamps in line and to half metres. Alt: to nothing; Shift: by millimetres; Escape: as it was. With the keyboard: arrows 10 cm, Shift with arrows 1 cm, n and p the next lamp."))));
    this.#choose(this.hang.unit);
  }

  #fill(): void {
    const unit = this.hang.unit, light = this.#light.value;
    this.#units.replaceChildren(...this.rig.units.map((u) => h("option", { value: u.name }, u.name)));
    this.#units.value = unit;
    this.#light.replaceChildren(h("option", { value: "" }, "this lamp alone, all of it at full"), ...this.model.cues.map((c) => h("option", { value: c.complete.toFixed(3) }, `cue ${c.number} ${this.model.look(c)?.name ?? ""}`)));
    this.#light.value = light;
  }

  #choose(unit: string): void {
    this.#units.value = unit;
    this.#wrong.textContent = "";
    this.#read();
    this.#look();
    this.onChosen(unit);
  }

  // read asks for the chosen lamp as it is written.
  #read(): void {
    this.#is = written("rig.yaml", ["units", { unit: this.hang.unit }]).catch(() => null);
  }

  // #look shows the light that is chosen.
  #look(): void {
    this.#pane.under(this.#light.value ? "at=" + this.#light.value : "unit=" + encodeURIComponent(this.hang.unit));
  }

  #try(changes: readonly Change[], quick: boolean): void {
    if (quick) this.#wrong.textContent = "";
    this.#pane.try(changes.length ? changes : undefined, quick);
    if (!quick) this.#look();
  }

  async #write(changes: readonly Change[]): Promise<boolean> {
    const is = await this.#is;
    const seen = changes.map((c) => ({ ...c, was: keyOf(is, String(c.at[2])) }));
    if (!await this.pencil.write(seen)) {
      this.#wrong.textContent = this.pencil.said;
      this.#read();
      return false;
    }
    this.#wrong.textContent = "";
    this.#written = [...this.#written, ...changes];
    this.#waits.textContent = "It is written. The light in the room is being worked out.";
    this.#try(this.#written, false);
    this.#read();
    void this.pencil.look();
    return true;
  }

  // stands tells whether what was written is in a rig.
  #stands(rig: Rig): boolean {
    const last = new Map(this.#written.map((c) => [JSON.stringify(c.at), c]));
    return [...last.values()].every(({ at: [, item, part], to }) => {
      const u = typeof item === "object" ? rig.units.find((x) => x.name === item["unit"]) : undefined;
      return !u || JSON.stringify(place3(part === "aim" ? u.aim : u.at)) === JSON.stringify(to);
    });
  }

  // renew goes over to another edition of the show.
  renew(model: Model, rig: Rig): void {
    [this.model, this.rig] = [model, rig];
    if (!this.#stands(rig)) this.#wrong.textContent = notLoaded;
    this.#written = [];
    this.#waits.textContent = "";
    this.hang.renew(rig);
    this.#fill();
    this.#pane.renew(model);
    this.#try([], false);
    this.#read();
  }
}
