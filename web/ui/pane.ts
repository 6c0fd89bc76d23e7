// The picture of the room that stays in view, with its ways of seeing.
import { say as inWords } from "./clock";
import type { Reading } from "./api";
import { answer, Newest } from "./data";
import { h } from "./dom";
import type { Model } from "./model";
import { Picture, seers, viewsOf, ways, type View, type Way } from "./picture";
import type { Change } from "./write";

// Scales of the ways that show a quantity, as the program draws them.
const scales: Partial<Record<Way, { low: number; high: number; unit: string }>> = {
  lux: { low: 0.1, high: 1000, unit: "lx" },
  uv: { low: 0.001, high: 10, unit: "W/m²" },
};

let panes = 0; // of the page: each has choices of its own

export class Pane {
  readonly #of = panes++ || "";
  readonly element: HTMLElement;
  readonly #legend = h("p", { class: "legend" });
  readonly #pointed = h("p", { class: "pointed", role: "status" });
  readonly #seers: HTMLElement;
  readonly #views: View[];
  readonly #picture: Picture;
  readonly #asked: Newest<readonly Reading[]>;
  #last = "";
  onFailed: (why: string) => void = () => {};
  onReadings: (list: readonly Reading[]) => void = () => {};

  // quick is how wide a picture is while a hand moves something.
  constructor(private model: Model, quick = 320) {
    this.#views = viewsOf(model.show.room);
    const first = this.#views[0];
    this.#picture = new Picture(first ?? { name: "", eye: -1 }, quick);
    this.#asked = new Newest((r) => this.onReadings(r), () => {});
    this.#picture.onDrawn = () => this.#explain();
    this.#picture.onFailed = (why) => {
      this.#say(why);
      this.onFailed(why);
    };
    this.#picture.onPointed = (words) => this.#pointed.replaceChildren(words);
    this.#seers = this.#choice("seer", "For whom", seers.map((s) => ({ value: s.seer, name: s.name, says: s.says })), (i) => { this.#picture.seer = seers[i]?.seer ?? "eye"; });
    this.element = h("figure", { class: "pane" }, this.#picture.stage,
      first ? h("figcaption", {}, this.#choice("way", "Way of seeing", ways.map((w) => ({ value: w.way, name: w.name, says: w.says })), (i) => { this.#picture.way = ways[i]?.way ?? "seen"; }), this.#viewChoice(), this.#seers)
        : h("figcaption", {}, h("p", {}, "The room was not solved, so there is no picture of it.")),
      this.#pointed, this.#legend);
    this.#name();
    if (first) {
      this.#say("A place to look from is made ready: that takes some seconds.");
      new ResizeObserver(() => this.#picture.again()).observe(this.#picture.canvas);
    }
  }

  // show shows the room at t; quick is for times that change all the while, and reads nothing.
  show(t: number, quick = false): void {
    const what = `${t} ${quick}`;
    if (what === this.#last || !this.model.show.room.solved) return;
    this.#last = what;
    this.#picture.show("at=" + t.toFixed(3), quick);
    if (!quick) this.#asked.ask(() => answer<readonly Reading[]>(`/api/readings?at=${t.toFixed(3)}`));
  }

  // under shows the room under some light, by what the picture is asked for by.
  under(light: string): void {
    if (light === this.#last || !this.model.show.room.solved) return;
    this.#last = light;
    this.#picture.show(light);
  }

  // renew goes over to another edition of the show, whose room is the same.
  renew(model: Model): void {
    this.model = model;
    this.#last = "";
  }

  // try shows light that is not written: with is what the picture is asked for by, undefined for
  // what is written again.
  try(changes: readonly Change[] | undefined, quick: boolean): void {
    this.#picture.changes = changes;
    this.#last = "";
    if (quick) this.#picture.again(true);
  }

  #explain(): void {
    const s = scales[this.#picture.way];
    this.#seers.hidden = !!s;
    if (s) this.#legend.replaceChildren(h("span", {}, inWords(s.low)), h("span", { class: "ramp", "aria-hidden": "true" }), h("span", {}, `${inWords(s.high, s.unit)}, equal ratios`));
    else this.#say(this.#picture.says);
  }

  #say(text: string): void {
    this.#legend.replaceChildren(text);
  }

  #choice(name: string, legend: string, list: readonly { value: string; name: string; says: string }[], chosen: (i: number) => void): HTMLElement {
    return h("fieldset", { class: "ways" }, h("legend", { class: "unseen" }, legend),
      ...list.map((x, i) => h("label", { title: x.says },
        h("input", { type: "radio", name: name + this.#of, value: x.value, checked: i === 0, change: () => { chosen(i); this.#picture.again(); this.#name(); } }),
        h("span", {}, x.name))));
  }

  #viewChoice(): HTMLElement {
    const select = h("select", { change: () => {
      this.#picture.view = this.#views[select.selectedIndex] ?? this.#picture.view;
      this.#picture.again();
      this.#name();
    } }, ...this.#views.map((v) => h("option", {}, v.name)));
    return h("label", { class: "from" }, "from ", select);
  }

  #name(): void {
    const p = this.#picture;
    p.canvas.setAttribute("aria-label", `the room, ${ways.find((w) => w.way === p.way)?.name ?? ""}, from ${p.view.name}; arrow keys move over it and say what is there`);
  }
}
