// Tonight: each system brighter or darker than its looks say, and units that are out.
import type { Lamp } from "./api";
import { sentence } from "./clock";
import { h, svg } from "./dom";
import { Hands } from "./hands";
import { sliderOf } from "./hue";
import type { Run } from "./run";

// A trim's slider has what the looks say in its middle; a step to an end is twice, or a
// sixteenth.
const factorOf = (slider: number): number => Math.round(1e3 * (slider >= 0 ? 2 ** (slider / 50) : 2 ** (slider / 12.5))) / 1e3;
const placeOf = (factor: number): number => (factor >= 1 ? 50 * Math.log2(factor) : Math.max(-50, 12.5 * Math.log2(Math.max(factor, 1e-3))));

// strip is a system's light beside its slider, as in the book: dark, with its colour, wider
// where it is brighter.
function strip(lamps: readonly Lamp[]): SVGSVGElement {
  const level = Math.max(0, ...lamps.map((l) => l.level)), dark = Math.max(0, ...lamps.map((l) => l.dark));
  const wide = 36 * sliderOf(level) / 100, e = svg("svg", { viewBox: "0 0 40 26", "aria-hidden": "true", class: "strip" }, svg("rect", { class: "ground", width: 40, height: 26 }));
  if (level > 0) e.append(svg("rect", { x: 20 - wide / 2, width: wide, height: 26, fill: lamps.find((l) => l.level > 0)?.colour || "#fff" }));
  if (dark > 0) e.append(svg("rect", { class: "black", x: 1, y: 1, width: 38, height: 24, "stroke-opacity": 0.25 + 0.75 * sliderOf(dark) / 100 }));
  return e;
}

const percent = (f: number): string => (f === 1 ? "as written" : `${Math.round(100 * f)} %`);

// trims makes the panel, and a button that gives lamps back which somebody has left in focus, or
// under a look that was brought up: it shows while there are such.
export function trims(run: Run): { panel: HTMLElement; back: HTMLElement } {
  const panel = h("details", { class: "trims", toggle: () => hands.ask() }), hands = new Hands(run, () => panel.open);
  const told = h("p", { class: "told", role: "alert" }), rows = h("div", { class: "rows" }), unit = h("select", { "aria-label": "unit" }), outs = h("ul", { class: "outs" });
  const summary = h("summary", {}, "Tonight: brighter, darker, out"), held = new Set<string>(); // systems under a finger, and "" for the unit
  const tell = (p: Promise<string>): void => void p.then((t) => { told.textContent = t; });
  const one = h("input", { type: "range", min: -50, max: 50, step: 0.5, value: 0, "aria-label": "this unit tonight", "data-do": "trim unit",
    change: () => { held.delete(""); },
    input: () => { held.add(""); const f = factorOf(Number(one.value)); hands.follow({ do: "trim", units: [unit.value], level: f }); oneWords.textContent = percent(f); } }), oneWords = h("output");
  const ofUnit = (): void => {
    const f = hands.lamps.trims.find((t) => t.unit === unit.value)?.factor ?? 1;
    one.value = String(placeOf(f));
    oneWords.textContent = percent(f);
  };
  unit.addEventListener("change", ofUnit);
  const sliders = new Map<string, { row: HTMLElement; slider: HTMLInputElement; words: HTMLElement; light: HTMLElement }>();

  function row(system: string): { row: HTMLElement; slider: HTMLInputElement; words: HTMLElement; light: HTMLElement } {
    const words = h("output"), light = h("span");
    const slider = h("input", { type: "range", min: -50, max: 50, step: 0.5, value: 0, "aria-label": `${system} tonight`, "data-trim": system,
      input: () => { held.add(system); hands.follow({ do: "trim", system, level: factorOf(Number(slider.value)) }); words.textContent = percent(factorOf(Number(slider.value))); },
      change: () => { held.delete(system); } });
    return { slider, words, light, row: h("label", {}, light, h("span", {}, system), slider, words) };
  }

  const back = h("button", { type: "button", class: "lampsback", "data-do": "lamps back", hidden: true, click: () => tell(hands.order({ do: "as it was" }).then(() => hands.order({ do: "look" }))) }, "Lamps back to the show");
  let known = "";
  hands.watch(() => {
    back.hidden = !hands.lamps.focus.does && !hands.lamps.look;
    const l = hands.lamps;
    for (const s of l.systems) {
      if (s.loose) continue; // units of no system are trimmed as units, by hand
      let r = sliders.get(s.name);
      if (!r) {
        sliders.set(s.name, r = row(s.name));
        rows.append(r.row);
      }
      r.light.replaceChildren(strip(s.units.flatMap((i) => l.lamps[i] ?? [])));
      const f = l.trims.find((t) => t.system === s.name)?.factor ?? 1;
      if (!held.has(s.name)) {
        r.slider.value = String(placeOf(f));
        r.words.textContent = percent(f);
      }
    }
    if (unit.options.length !== l.lamps.length) {
      unit.replaceChildren(...l.lamps.map((x) => h("option", {}, x.unit)));
    }
    if (!held.has("")) ofUnit();
    const list = JSON.stringify([l.outs, l.covers]);
    if (list !== known) { // a button that is made anew under a finger is not pressed
      known = list;
      outs.replaceChildren(...l.outs.map((o) => h("li", {}, `${o.unit} is out${o.why ? ` (${o.why})` : ""} `, h("button", { type: "button", "data-back": o.unit, click: () => tell(hands.order({ do: "back", units: [o.unit] })) }, "Back in"))),
        ...(l.outs.length && l.covers ? [h("li", { class: "soft" }, sentence(l.covers))] : []));
    }
    if (hands.lamps.wrong) told.textContent = hands.lamps.wrong;
  });

  panel.append(summary, told, rows,
    h("p", {}, unit, one, oneWords), h("p", {}, h("button", { type: "button", "data-do": "out", click: () => tell(hands.order({ do: "out", units: [unit.value], why: "flickers" })) }, "Out for tonight"),
      h("small", {}, "its part goes to its likes where they can")), outs,
    h("p", {}, h("button", { type: "button", "data-do": "write", click: () => tell(hands.write()) }, "Write the trims into the looks"), h("button", { type: "button", "data-do": "drop", click: () => tell(hands.order({ do: "drop" })) }, "Drop all of this")));
  return { panel, back };
}
