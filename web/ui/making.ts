// Cues are made on the page: written at the playhead, opened, and carried to another time.
import type { Carrier } from "./carry";
import { clock } from "./clock";
import { added, anchorOf, nearest, numberBetween, when } from "./cue";
import type { Brief, Model } from "./model";
import type { Pencil } from "./pencil";
import type { Rehearsal } from "./rehearsal";
import type { Slip } from "./slip";
import { Spans } from "./spans";
import type { Change } from "./write";

// pull is from how far a moment of the sound draws a cue that is carried, px.
const pull = 7;

// snaps is within how many seconds a new cue is taken for one on what was heard.
const snaps = 0.05;

// Host is the page on which cues are carried: its scale, px a second; over shows what would be at a
// second, goes that nothing is tried any more.
type Host = { scale: () => number; over: (t: number, changes: readonly Change[]) => void; goes: () => void };

export class Making {
  #opens = ""; // the number of a cue that is to be opened as soon as it is there

  constructor(private model: Model, private readonly pencil: Pencil, private readonly slip: Slip, private readonly sound: Rehearsal) {
    slip.onMade = (number) => { this.#opens = number; };
    void this.#fileOf(model.cues[0]).then((file) => { sound.file = file; });
  }

  // renew goes over to another edition of the show.
  renew(model: Model): void {
    this.model = model;
    this.slip.renew(model);
    this.sound.renew(model);
    if (!this.#opens || !model.cues.some((c) => c.number === this.#opens)) return;
    this.open(this.#opens, true);
    this.#opens = "";
  }

  // open opens the slip of a cue.
  open(number: string, focus: boolean): void {
    const b = this.model.cues.find((c) => c.number === number);
    if (b && this.model.show.writes) void this.slip.open(b, focus);
  }

  // add writes a new cue at a second, with the look that stands there; it is then open in the slip. It is
  // tied to what was heard there, unless a hand keeps its time.
  async add(at: number, keepTime: boolean): Promise<void> {
    if (!this.model.show.writes) return;
    const t = Math.round(at * 1000) / 1000, cues = this.model.cues, i = this.model.cueAt(t);
    const before = cues[i], after = cues[i + 1];
    const file = this.sound.file = await this.#fileOf(before ?? after);
    const m = keepTime ? undefined : await nearest(this.model, t, snaps);
    const number = numberBetween(before?.number ?? "0", cues.map((c) => c.number), after?.number);
    const look = this.model.look(before ?? after ?? { look: 0 })?.name ?? "";
    const cue = { cue: number, ...when(t, m), look, up: "2 s" };
    if (await this.pencil.write([added(file, before?.number, cues.length > 0, cue)])) this.#opens = number;
  }

  // fileOf is the file in which a cue is written.
  async #fileOf(b: Brief | undefined): Promise<string> {
    const piece = b && await this.model.spans.ask(Spans.of(b.moment));
    return piece?.cues.find((c) => c.number === b?.number)?.file || "score.yaml";
  }

  // carrier is how cards are carried on a page.
  carrier(host: Host): Carrier {
    return {
      takes: async (number) => {
        const b = this.model.show.writes ? this.model.cues.find((c) => c.number === number) : undefined;
        if (b) await this.slip.open(b, false);
        return this.slip.written ? b : undefined;
      },
      to: async (b, by, keepTime) => {
        const t = Math.max(0, b.moment + by / host.scale());
        const m = keepTime ? undefined : await nearest(this.model, t, pull / host.scale());
        return { at: m?.time ?? t, text: m ? anchorOf(m) : clock(Math.round(t * 1000) / 1000, 3) };
      },
      over: (b, spot) => host.over(spot.at + b.complete - b.moment, this.slip.whens(spot.text)),
      drops: (spot) => {
        host.goes();
        if (spot) void this.slip.drop(spot.text);
      },
    };
  }
}
