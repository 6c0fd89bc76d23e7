// How near the page is: from an hour in a window to some hundredths of a second a line.
import { scales, usual } from "./columns";
import { h } from "./dom";

// says is how much time a window of 700 px holds.
function says(scale: number): string {
  const s = 700 / scale;
  return s >= 3000 ? `${Math.round(s / 3600)} h` : s >= 90 ? `${Math.round(s / 60)} min` : s >= 10 ? `${Math.round(s)} s` : `${s.toFixed(1)} s`;
}

export class Zoom {
  at = usual;
  readonly #said = h("span", { role: "status" });
  readonly #nearer = h("button", { type: "button", "aria-keyshortcuts": "+", title: "nearer (+)", click: () => this.#by(1) }, "nearer");
  readonly #further = h("button", { type: "button", "aria-keyshortcuts": "-", title: "further off (−)", click: () => this.#by(-1) }, "further off");
  readonly element = h("p", { class: "zoom" }, this.#further, this.#said, this.#nearer);

  constructor(private readonly changed: () => void) {
    this.#say();
  }

  // key takes the keys of it, and tells whether it was one.
  key(key: string): boolean {
    const by = { "+": 1, "=": 1, "-": -1, "0": usual - this.at }[key];
    if (by === undefined) return false;
    this.#by(by);
    return true;
  }

  #by(by: number): void {
    const to = Math.min(Math.max(this.at + by, 0), scales.length - 1);
    if (to === this.at) return;
    this.at = to;
    this.#say();
    this.changed();
  }

  #say(): void {
    this.#said.textContent = ` a window holds ${says(scales[this.at] ?? 12)} `;
    this.#nearer.disabled = this.at === scales.length - 1;
    this.#further.disabled = this.at === 0;
  }
}
