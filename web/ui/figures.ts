// The exact figures of what a hand moves: typed as well as dragged.
import { h } from "./dom";
import type { Part } from "./hang";
import { metre, metresIn } from "./metres";
import { with3, type P3 } from "./sheet";

const ways = ["to the right", "upstage", "up"] as const; // x, y, z
const names: Record<Part, string> = { at: "hangs at", aim: "aims at" };

export class Figures {
  readonly element: HTMLElement;
  readonly #fields = new Map<string, HTMLInputElement>();
  #is: Record<Part, P3> = { at: [0, 0, 0], aim: [0, 0, 0] };

  constructor(private readonly put: (part: Part, p: P3) => void) {
    this.element = h("div", { class: "figures" }, h("p", { class: "heads", "aria-hidden": "true" }, h("span"), ...ways.map((w) => h("span", {}, w))), ...(["at", "aim"] as const).map((part) => h("fieldset", {}, h("legend", {}, names[part]), ...ways.map((way, k) => {
      const e = h("input", { "aria-label": `${names[part]}, ${way}`, title: `m ${way}`, inputmode: "decimal", change: () => this.#typed(part, k as 0 | 1 | 2, e) });
      this.#fields.set(part + k, e);
      return e;
    }))));
  }

  show(is: Record<Part, P3>): void {
    this.#is = is;
    for (const part of ["at", "aim"] as const) {
      is[part].forEach((v, k) => {
        const e = this.#fields.get(part + k);
        if (!e || e === document.activeElement) return;
        e.value = metre(v);
        e.removeAttribute("aria-invalid");
      });
    }
  }

  #typed(part: Part, k: 0 | 1 | 2, e: HTMLInputElement): void {
    const v = metresIn(e.value);
    e.setAttribute("aria-invalid", String(v === undefined));
    if (v !== undefined) this.put(part, with3(this.#is[part], k, v));
  }
}
