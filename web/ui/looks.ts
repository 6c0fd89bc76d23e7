// The looks page: each look as this rig gives it in this room.
import type { Look } from "./api";
import { clock, say } from "./clock";
import { answer, plate } from "./data";
import { drawn, h, main, svg } from "./dom";
import { LookSlip } from "./lookslip";
import type { Model } from "./model";
import { Pencil } from "./pencil";
import { Picture, viewsOf } from "./picture";
import { start, type Renews } from "./start";

// dabs shows each system's light as a dab of its colour: wider is brighter.
function dabs(model: Model, swatch: Uint8Array): HTMLElement {
  const dark = model.show.ribbons.filter((_, i) => !swatch[4 * i + 3]);
  return h("ul", { class: "dabs" }, ...model.show.ribbons.map((r, i) => {
    const [red, green, blue, level = 0] = swatch.subarray(4 * i, 4 * i + 4);
    return level > 0 && h("li", { class: r.dark ? "dark" : "" },
      svg("svg", { viewBox: "0 0 26 26", "aria-hidden": "true" }, svg("circle", { class: "ground", cx: 13, cy: 13, r: 12.5 }), svg("circle", { cx: 13, cy: 13, r: (11 * level) / 255, fill: `rgb(${red} ${green} ${blue})` })),
      h("span", {}, r.name + (r.dark ? " glow" : "")), h("span", {}, `${Math.round((100 * level) / 255)} %`));
  }), dark.length > 0 && h("li", { class: "unlit" }, "dark: " + dark.map((r) => r.name + (r.dark ? " glow" : "")).join(", ")));
}

// Entry is a look on the page; opened, it can be changed.
class Entry {
  readonly element: HTMLElement;
  readonly #facts = h("div", { class: "is" });
  readonly #picture: Picture | undefined;
  readonly #scene: HTMLElement | undefined;
  #slip: LookSlip | undefined;

  constructor(private model: Model, private look: Look, private readonly i: number, pencil: Pencil) {
    const made = scene(model, i);
    [this.#scene, this.#picture] = [made?.element, made?.picture];
    const b = h("button", { type: "button", class: "change", hidden: !model.show.writes, click: () => {
      if (this.#slip) return this.#slip.close();
      this.#slip = new LookSlip(this.model, this.look, i, this.#picture, pencil, () => { this.#slip = undefined; b.textContent = "Change"; b.focus(); });
      this.#slip.element.addEventListener("beside", (e) => this.#beside((e as CustomEvent<number>).detail));
      b.textContent = "Leave it";
      this.#facts.before(this.#slip.element);
    } }, "Change");
    this.element = h("article", { class: "entry", id: "look-" + i, "data-look": look.name }, h("h3", {}, look.name, " ", b), look.purpose && h("p", { class: "purpose" }, look.purpose), this.#scene, this.#facts);
    this.#fill();
  }

  #fill(): void {
    const { model, look, i } = this, cues = model.cues.filter((c) => c.look === i);
    this.#facts.replaceChildren(
      h("div", { class: "both" }, dabs(model, model.swatches[i] ?? new Uint8Array()), reach(look, i)),
      h("p", { class: "used" }, cues.length ? "cues " : "in no cue", ...cues.flatMap((c, k) => [k ? ", " : "", h("span", { title: clock(c.start, 1) }, c.number)])),
      h("ul", { class: "parts" }, ...look.parts.map((p) => h("li", {}, p))),
      look.misses.length > 0 ? h("ul", { class: "misses" }, ...look.misses.map((m) => h("li", {}, `${m.text}${m.wanted ? `: wanted ${say(m.wanted, m.unit)}, found ${say(m.found, m.unit)}` : ""}`))) : "");
  }

  // renew goes over to another edition of the show, in which the look has the same place.
  renew(model: Model, look: Look): void {
    const same = JSON.stringify(look) === JSON.stringify(this.look);
    [this.model, this.look] = [model, look];
    this.#fill();
    if (!same && this.#picture?.canvas.dataset["drawn"]) this.#picture.show("look=" + this.i);
    void this.#slip?.read(look);
  }

  #beside(i: number): void {
    this.#scene?.parentElement?.querySelector(".beside-it")?.remove();
    const made = i < 0 ? undefined : scene(this.model, i);
    if (made) this.#scene?.after(h("figure", { class: "beside-it" }, made.element, h("figcaption", {}, this.model.show.looks[i]?.name ?? "")));
  }
}

// reach is the diagram of a look's colours; pressed, against what the units reach.
function reach(look: Look, i: number): HTMLElement {
  const b = h("button", { type: "button", class: "reach", title: "against what the units reach", click: () => {
    void plate("/plate/gamut?look=" + i).then((text) => b.replaceChildren(drawn(text, "diagram")));
  } }, drawn(look.colours, "diagram"));
  return b;
}

// scene is the room under the look, from the first seat; drawn when it comes
// into view.
function scene(model: Model, i: number): { element: HTMLElement; picture: Picture } | undefined {
  const view = viewsOf(model.show.room)[0];
  if (!view) return undefined;
  const p = new Picture(view), words = h("p", { class: "pointed", role: "status" });
  p.canvas.setAttribute("aria-label", `${model.show.looks[i]?.name ?? ""}, from ${view.name}; arrow keys move over it and say what is there`);
  p.onPointed = (text) => words.replaceChildren(text);
  const seen = new IntersectionObserver((entries) => {
    if (!entries.some((e) => e.isIntersecting)) return;
    seen.disconnect();
    p.show("look=" + i);
  }, { rootMargin: "400px" });
  seen.observe(p.canvas);
  return { element: h("div", {}, p.stage, words), picture: p };
}

async function build(model: Model): Promise<Renews> {
  const pencil = new Pencil(() => model), looks = await answer<Look[]>("/api/looks"), entries = looks.map((l, i) => new Entry(model, l, i, pencil));
  const view = viewsOf(model.show.room)[0];
  main().append(h("div", { class: "chapter" }, h("h2", {}, "Looks"),
    h("p", { class: "lede" }, view ? `Each look as computed from ${model.show.room.seat < 0 ? "the front" : `the seat “${view.name}”`}, for an eye that is used to it. ` : "", "A dab for each system, in its own colour: wider is brighter. ",
      model.show.ribbons.some((r) => r.dark) ? "Ultraviolet has the colour of what it makes glow. " : "", "The CIE 1976 diagram shows where those colours lie; the cross is daylight, D65."),
    model.show.writes && pencil.element,
    h("div", { class: "lookbook" }, ...entries.map((e) => e.element))));
  return (next) => {
    if (next.show.looks.map((l) => l.name).join("\n") !== model.show.looks.map((l) => l.name).join("\n")) return false;
    model = next;
    void answer<Look[]>("/api/looks").then((list) => { list.forEach((l, i) => entries[i]?.renew(next, l)); });
    void pencil.look();
    return true;
  };
}

void start(build);
