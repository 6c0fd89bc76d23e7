// The cues in a list, by stretches of time: where a reader turns to.
import { clock } from "./clock";
import { h } from "./dom";
import type { Brief, Model } from "./model";

// Stretches that a list may be cut into, s: as many as a hand has fingers twice over.
const stretches = [15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200];
const mostStretches = 12;

// turning lists all cues; one that is pressed is gone to. A stretch is filled as it is opened.
export function turning(model: Model, go: (c: Brief) => void): HTMLElement {
  const { cues, show } = model, every = stretches.find((s) => show.length / s <= mostStretches) ?? 14400;
  const groups = new Map<number, Brief[]>();
  for (const c of cues) {
    const k = Math.floor(Math.max(0, c.moment) / every), of = groups.get(k);
    if (of) of.push(c);
    else groups.set(k, [c]);
  }
  const button = (c: Brief): HTMLElement => h("li", {}, h("button", { type: "button", "data-to": c.number, click: () => go(c) },
    h("b", {}, c.number), h("i", {}, model.look(c)?.name ?? "no look"), h("time", {}, clock(c.start))));
  const list = (of: readonly Brief[]): HTMLElement => h("ol", {}, ...of.map(button));
  const one = groups.size < 2;
  const parts = [...groups].sort(([a], [b]) => a - b).map(([k, of]) => {
    const d = h("details", { open: one, toggle: () => { if (d.open && !d.querySelector("ol")) d.append(list(of)); } },
      h("summary", {}, h("span", {}, `${clock(k * every)} to ${clock(Math.min((k + 1) * every, show.length))}`), h("span", {}, of.length > 1 ? `cues ${of[0]?.number} to ${of.at(-1)?.number}` : `cue ${of[0]?.number}`)));
    if (one) d.append(list(of));
    return d;
  });
  return h("details", { class: "turning" }, h("summary", {}, "Turn to a cue"), h("div", {}, ...parts));
}
