// Pictures of the room, which the program draws: the same as on paper.
import type { Hall, Pointed } from "./api";
import { say } from "./clock";
import { answer, Newest, NotDrawn, pictureOf, type Drawn } from "./data";
import { h, place } from "./dom";
import type { Change } from "./write";

export type Way = "seen" | "glow" | "lux" | "uv";
export type Seer = "eye" | "camera" | "lifted";

export const ways: readonly { way: Way; name: string; says: string }[] = [
  { way: "seen", name: "as seen", says: "all light that comes to the eye" },
  { way: "glow", name: "glow only", says: "what shines by itself under black light, and nothing else" },
  { way: "lux", name: "lux", says: "how much light falls on every surface" },
  { way: "uv", name: "ultraviolet", says: "how much UV-A falls on every surface" },
];

export const seers: readonly { seer: Seer; name: string; says: string }[] = [
  { seer: "eye", name: "for an eye used to it", says: "as somebody sees it who has sat in this light for some minutes: dark is dark, and colours fade in it" },
  { seer: "camera", name: "for a camera", says: "set for the bright parts: all else goes dark" },
  { seer: "lifted", name: "lifted, to see by", says: "what is dark is made lighter, to work by; it never looks so" },
];

// View is a place to look from, by its number among all eyes; -1 from among the audience.
export type View = { name: string; eye: number };

// viewsOf lists the places to look from: the middle seat, the other seats, performers.
export function viewsOf(room: Hall): View[] {
  if (!room.solved) return [];
  if (!room.eyes.length) return [{ name: "among the audience", eye: -1 }];
  const out = room.eyes.map((p, eye) => ({ name: p.name, eye }));
  if (room.seat > 0) out.unshift(...out.splice(room.seat, 1));
  return out;
}

const widths = [320, 640, 960, 1280];
const aspect = 16 / 9;

// Picture is one picture in a page, with what is under the pointer in words.
export class Picture {
  readonly canvas = h("canvas", { class: "room", role: "img", tabindex: 0 });
  readonly mark = h("div", { class: "mark", hidden: true });
  readonly #waits = h("p", { class: "waits" }, "The room is being drawn.");
  readonly #early = h("p", { class: "early", hidden: true }, "provisional: direct light alone");
  readonly stage = h("div", { class: "stage" }, this.canvas, this.mark, this.#early, this.#waits);
  view: View;
  way: Way = "seen";
  seer: Seer = "eye";
  says = "";
  changes: readonly Change[] | undefined; // that are tried, and not written
  onDrawn: () => void = () => {};
  onPointed: (words: string) => void = () => {};
  onFailed: (why: string) => void = () => {};
  readonly #asked = new Newest<Drawn | undefined>((d) => this.#take(d), (e) => {
    this.#waits.textContent = "The picture did not arrive.";
    this.onFailed(e instanceof NotDrawn ? e.message : "The picture did not arrive: is the program still there?");
  });
  readonly #pointed = new Newest<Pointed>((p) => this.onPointed(inWords(p)), () => {});
  #light = "";
  #quick = false; // a small picture will do: another is asked for soon
  #since = 0; // when it was asked for
  #key = "";
  #ready = new Set<string>(); // places that were drawn from, at the width that is wanted
  #at: [number, number] | undefined; // that is pointed at, 0 to 1 across and down

  // least is how wide quick pictures are.
  constructor(view: View, private readonly least = 320) {
    this.view = view;
    place(this.canvas, { aspectRatio: String(aspect) });
    this.canvas.width = 640;
    this.canvas.height = 360;
    this.canvas.addEventListener("pointermove", (e) => this.#point(e));
    this.canvas.addEventListener("pointerdown", (e) => this.#point(e));
    this.canvas.addEventListener("pointerleave", () => this.#leave());
    this.canvas.addEventListener("keydown", (e) => this.#key_(e));
    this.canvas.addEventListener("blur", () => this.#leave());
  }

  // show asks for the picture of some light: at=S, look=N or now=yes. While that changes all the
  // time, quick ones are smaller.
  show(light: string, quick = false): void {
    this.#light = light;
    this.#quick = quick;
    this.again();
  }

  again(quick = this.#quick): void {
    if (!this.#light) return;
    this.#quick = quick;
    this.#since = performance.now();
    const width = this.#width(), from = `${this.view.eye} ${width}`;
    // A new place takes a second or two to be made ready: a small picture of it comes first.
    const least = this.#quick ? this.least : 320;
    if ((this.#quick || !this.#ready.has(from)) && width > least) this.#asked.ask(() => pictureOf(this.#query(), least, "", this.changes));
    else this.#asked.ask(() => pictureOf(this.#query(), width, this.#key, this.changes));
    if (this.#at) this.#ask();
  }

  // at is where the pointer is, for the program: pixels of a picture of the width that is shown.
  at(e: MouseEvent): [number, number] {
    const box = this.canvas.getBoundingClientRect();
    return [(e.clientX - box.left) / box.width, (e.clientY - box.top) / box.height];
  }

  // what answers what is at a place, 0 to 1 across and down.
  what([x, y]: [number, number]): Promise<Pointed> {
    const w = this.canvas.width;
    return answer<Pointed>(`/api/point?${this.#query()}&width=${w}&height=${(w * 9) / 16}&x=${(x * w).toFixed(1)}&y=${((y * w * 9) / 16).toFixed(1)}`);
  }

  #query(): string {
    return `${this.#light}&from=${this.view.eye}&of=${this.way}&as=${this.seer}`;
  }

  #width(): number {
    const want = (this.canvas.clientWidth || 320) * Math.min(1.5, devicePixelRatio || 1);
    return widths.find((w) => w >= 0.8 * want) ?? 1280;
  }

  #take(d: Drawn | undefined): void {
    const full = this.#width();
    if (d) {
      if (this.canvas.width !== d.width) {
        this.canvas.width = d.width;
        this.canvas.height = (d.width * 9) / 16;
      }
      this.canvas.getContext("2d")?.putImageData(new ImageData(d.pixels as Uint8ClampedArray<ArrayBuffer>, d.width), 0, 0);
      this.#key = d.key;
      this.says = d.says;
      this.#early.hidden = !d.early;
    }
    this.#waits.remove();
    this.canvas.dataset["drawn"] = "yes";
    this.canvas.dataset["took"] = (performance.now() - this.#since).toFixed(1); // ms
    this.onDrawn();
    if (d && d.width < full && !this.#quick) {
      this.#ready.add(`${this.view.eye} ${full}`);
      this.#key = "";
      this.again();
    }
  }

  #point(e: PointerEvent): void {
    this.#at = this.at(e);
    this.#ask();
  }

  // #key_ moves what is pointed at, for who has no pointer.
  #key_(e: KeyboardEvent): void {
    const step = e.shiftKey ? 0.1 : 0.02, by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[e.key];
    if (e.key === "Escape") this.#leave();
    if (!by || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    e.stopPropagation();
    const [x, y] = this.#at ?? [0.5, 0.5], in01 = (v: number): number => Math.min(0.999, Math.max(0, v));
    this.#at = [in01(x + (by[0] ?? 0)), in01(y + (by[1] ?? 0))];
    this.#ask();
  }

  #ask(): void {
    const at = this.#at;
    if (!at || !this.canvas.dataset["drawn"]) return;
    this.mark.hidden = false;
    place(this.mark, { left: `${100 * at[0]}%`, top: `${100 * at[1]}%` });
    this.#pointed.ask(() => this.what(at));
  }

  #leave(): void {
    this.#at = undefined;
    this.mark.hidden = true;
    this.onPointed("");
  }
}

// inWords says what is at a place: a person reads a name, and numbers with their units.
export function inWords(p: Pointed): string {
  if (!p.name) return "nothing";
  const glow = p.glow > 0.001 * p.luminance ? `, of it ${say(p.glow, "cd/m²")} by its own glow` : "";
  return `${p.name}: ${say(p.luminance, "cd/m²")} bright${glow}; ${say(p.lux, "lx")} fall on it, and ${say(p.uv, "W/m²")} of UV-A`;
}
