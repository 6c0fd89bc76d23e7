// The pencil: what was written last, and the way back. It stands in the head of every page that
// writes, and its keys work wherever no text is typed.
import type { Edited } from "./api";
import { h } from "./dom";
import type { Model } from "./model";
import { doAgain, edits, takeBack, write, type Change } from "./write";

const typing = (e: Event): boolean => e.target instanceof Element && !!e.target.closest("input:not([type=range]):not([type=radio]):not([type=checkbox]), textarea, select");

const whose = (e: Edited, reader: string): string => (e.who === reader ? "" : `, by ${e.who}`);

export class Pencil {
  readonly element: HTMLElement;
  readonly #said = h("span", { role: "status" });
  readonly #back = h("button", { type: "button", click: () => void this.back() }, "Take back");
  readonly #again = h("button", { type: "button", click: () => void this.again() }, "Do again");

  constructor(private readonly model: () => Model) {
    this.element = h("p", { class: "pencil" }, this.#back, this.#again, this.#said);
    this.#back.disabled = this.#again.disabled = true;
    addEventListener("keydown", (e) => {
      if (!(e.ctrlKey || e.metaKey) || e.altKey || typing(e) || !this.model().show.writes) return;
      const key = e.key.toLowerCase();
      if (key !== "z" && key !== "y") return;
      e.preventDefault();
      void (key === "y" || e.shiftKey ? this.again() : this.back());
    });
    void this.look();
  }

  // say tells what was written, or why it was not.
  say(text: string, wrong = false): void {
    this.#said.textContent = text;
    this.#said.classList.toggle("wrong", wrong);
  }

  get said(): string {
    return this.#said.textContent ?? "";
  }

  // write makes changes, and says what they are or why they were not made; it tells which.
  async write(changes: readonly Change[]): Promise<boolean> {
    try {
      this.say((await write(changes)).what);
      return true;
    } catch (e) {
      this.say(e instanceof Error ? e.message : String(e), true);
      return false;
    }
  }

  async back(): Promise<void> {
    await this.#turn(takeBack, (e) => `taken back: ${e.what}`);
  }

  async again(): Promise<void> {
    await this.#turn(doAgain, (e) => `done again: ${e.what}`);
  }

  async #turn(act: () => Promise<Edited>, words: (e: Edited) => string): Promise<void> {
    try {
      this.say(words(await act()));
    } catch (e) {
      this.say(e instanceof Error ? e.message : String(e), true);
    }
    await this.look();
  }

  // look asks what can be taken back: others write too.
  async look(): Promise<void> {
    if (!this.model().show.writes) return;
    try {
      const now = await edits(), reader = this.model().show.reader;
      for (const [b, e, what] of [[this.#back, now.undo, "Take back"], [this.#again, now.redo, "Do again"]] as const) {
        b.disabled = !e;
        b.title = e ? `${what}: ${e.what}${whose(e, reader)}` : "";
        b.setAttribute("aria-label", e ? `${what}: ${e.what}${whose(e, reader)}` : what);
      }
      if (now.broken) this.say(`earlier changes cannot be taken back: ${now.broken}`, true);
    } catch {
      // The program is away: it is told elsewhere.
    }
  }
}
