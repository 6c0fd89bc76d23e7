// By hand: lamps chosen, set, kept in looks and let go, on the real lamps.
import type { Held, Lamp, Order, Reach, System } from "./api";
import { dab } from "./dab";
import { answer } from "./data";
import { h, main } from "./dom";
import { Hands } from "./hands";
import { lightOf, nudges, share, sliderOf } from "./hue";
import type { Model } from "./model";
import { Picture, viewsOf } from "./picture";
import type { Run } from "./run";
import { start } from "./start";

type Whom = { system: string; units: readonly string[] };

function build(model: Model, run: Run): void {
  const hands = new Hands(run);
  let whom: Whom = { system: "", units: [] }, colour = "#ffffff", level = 1, blind = "";
  const said = h("p", { class: "told", role: "alert" }), holds = h("p", { class: "holds", role: "status" });
  const list = h("ul", { class: "systems" }), members = h("p", { class: "members" }), chosen = h("p", { class: "chosen" });
  const bright = h("input", { type: "range", min: 0, max: 100, step: 0.5, "aria-label": "level", input: () => { level = lightOf(Number(bright.value)); set(); } });
  const brightWords = h("output"), darkWords = h("output");
  const picker = h("input", { type: "color", "aria-label": "colour", input: () => { colour = picker.value; set(); } });
  const black = h("input", { type: "range", min: 0, max: 100, step: 0.5, "aria-label": "black light", input: () => { give({ do: "set", dark: true, level: lightOf(Number(black.value)) }); words(); } });
  const seenRows = h("div", { class: "seen" }, h("p", { class: "nudges" }, picker, ...nudges.map((n) => h("button", { type: "button", click: () => { colour = n.to(colour); set(); } }, n.name))),
    h("label", {}, "level ", bright, brightWords));
  const blackRow = h("label", { class: "blackrow" }, "black light ", black, darkWords, h("small", {}, "Held to what eyes may take. Do not look into the lamp."));
  const lookChoice = h("select", { "aria-label": "look" }), first = h("select", { "aria-label": "one look" }), second = h("select", { "aria-label": "another look" });
  const keep = h("button", { type: "button", click: () => void tell(hands.keep(lookChoice.value)) }, "Keep in the look");
  const undo = h("button", { type: "button", click: () => void tell(hands.undo()) }, "Take back");
  const undoWords = h("span", { class: "soft" });
  const blindBox = h("input", { type: "checkbox", change: () => { blind = blindBox.checked ? lookChoice.value : ""; pending = []; show(); } });
  const blindKeep = h("button", { type: "button", click: () => void tell(hands.keep(blind, pending)).then((t) => { if (!t) pending = []; show(); }) }, "Write it into the look");
  const blindWords = h("p", { class: "soft" });
  let pending: Held[] = [];

  const tell = async (p: Promise<string>): Promise<string> => {
    const t = await p;
    said.textContent = t;
    return t;
  };

  // give sends an order for the chosen lamps, or notes it where a look is written that is not up.
  function give(o: Order): void {
    const to = whom.system ? { system: whom.system } : { units: whom.units };
    if (blind) {
      pending = [...pending.filter((p) => p.dark !== !!o.dark || p.units.join() !== names().join()), { system: whom.system, units: names(), dark: !!o.dark, colour: o.dark ? "" : o.colour ?? "", level: o.level ?? 0 }];
      show();
      return;
    }
    hands.follow({ ...o, ...to });
  }

  const set = (): void => {
    give({ do: "set", colour, level });
    words();
  };

  function words(): void {
    picker.value = colour;
    brightWords.textContent = share(lightOf(Number(bright.value)));
    darkWords.textContent = share(lightOf(Number(black.value)));
  }

  // ofSystem are the lamps of a system; those of none have no name together.
  const ofSystem = (s: System): Whom => (s.loose ? { system: "", units: s.units.map((i) => hands.lamps.lamps[i]?.unit ?? "") } : { system: s.name, units: [] });
  const chosenIs = (s: System): boolean => (s.loose ? ofSystem(s).units.join() === whom.units.join() : whom.system === s.name);

  const names = (): readonly string[] => {
    const s = hands.lamps.systems.find((x) => x.name === whom.system);
    return s ? s.units.map((i) => hands.lamps.lamps[i]?.unit ?? "") : whom.units;
  };
  const ofThem = (): Lamp[] => hands.lamps.lamps.filter((l) => names().includes(l.unit));

  // trimOf is tonight's factor on a unit: what is set by hand lies under it, as looks do.
  const trimOf = (unit: string): number => hands.lamps.trims.reduce((f, t) => {
    const of = hands.lamps.systems.find((s) => s.name === t.system);
    return t.unit === unit || of?.units.some((i) => hands.lamps.lamps[i]?.unit === unit) ? f * Math.max(t.factor, 1e-3) : f;
  }, 1);

  function choose(w: Whom): void {
    whom = w;
    const lamps = ofThem(), lit = lamps.find((l) => l.level > 0);
    colour = lit?.colour || colour;
    level = Math.min(1, (lit?.level ?? 0) / (lit ? trimOf(lit.unit) : 1));
    bright.value = String(sliderOf(level));
    black.value = String(sliderOf(Math.max(0, ...lamps.map((l) => Math.min(1, l.dark / trimOf(l.unit))))));
    words();
    show();
  }

  const mark = (b: HTMLButtonElement, pressed: boolean, lamps: Lamp[]): void => {
    b.setAttribute("aria-pressed", String(pressed));
    b.firstElementChild?.replaceChildren(dab(lamps));
  };

  let drawn = "", shown = "";
  function show(): void {
    const l = hands.lamps;
    holds.textContent = hands.lost || l.wrong || (l.holds ? `By hand: ${l.holds}` : run.head.idle ? "No show runs, and nothing is held by hand: the lamps are dark." : "Nothing is held by hand: the show has the lamps.");
    holds.classList.toggle("lost", hands.lost !== "" || l.wrong !== "");
    undo.disabled = !l.undo;
    undoWords.textContent = l.undo;
    keep.disabled = !l.held.length;
    blindKeep.disabled = !pending.length;
    blindKeep.hidden = !blind;
    blindWords.textContent = blind ? (pending.length ? `To be written into “${blind}”: ${pending.map((p) => `${p.units.join(", ")} ${p.dark ? "black light" : p.colour} ${share(p.level)}`).join("; ")}` : `The lamps stay as they are: what you set is for “${blind}”.`) : "";
    const looks = l.looks.join("\n");
    if (looks !== drawn) {
      drawn = looks;
      for (const s of [lookChoice, first, second]) s.replaceChildren(...l.looks.map((n) => h("option", {}, n)));
      second.selectedIndex = Math.min(1, l.looks.length - 1);
      if (run.head.look) lookChoice.value = run.head.look;
    }
    const system = l.systems.find((s) => s.name === whom.system || s.units.some((i) => whom.units.includes(l.lamps[i]?.unit ?? "")));
    // Buttons stay while they are what they were: one that is made anew under a finger is not pressed.
    const made = JSON.stringify([l.systems, l.lamps.map((x) => x.unit), system?.name]);
    if (made !== shown) {
      shown = made;
      list.replaceChildren(...l.systems.map((s) => h("li", {}, h("button", { type: "button", "data-system": s.name, click: () => choose(ofSystem(s)) }, h("span"), s.name))));
      members.replaceChildren(...(system?.units ?? []).flatMap((i) => l.lamps[i] ?? []).map((x) => h("button", { type: "button", "data-unit": x.unit, click: () => choose({ system: "", units: [x.unit] }) }, h("span"), x.unit)));
    }
    for (const [i, b] of [...list.querySelectorAll("button")].entries()) {
      const s = l.systems[i];
      if (s) mark(b, chosenIs(s), s.units.flatMap((k) => l.lamps[k] ?? []));
    }
    for (const b of members.querySelectorAll("button")) mark(b, whom.units.includes(b.dataset["unit"] ?? ""), l.lamps.filter((x) => x.unit === b.dataset["unit"]));
    const lamps = ofThem();
    chosen.textContent = lamps.length ? whom.system || whom.units.join(", ") : "Choose lamps: a system, a unit of it, or a place in the picture.";
    seenRows.hidden = !lamps.some((x) => x.seen);
    blackRow.hidden = !lamps.some((x) => x.black);
  }

  const compare = (s: HTMLSelectElement): void => { void tell(hands.order({ do: "look", look: s.value })); };
  main().append(h("div", { class: "byhand" }, holds, said,
    h("section", { class: "whom", "aria-label": "Which lamps" }, list, members, picture(model, run, (name) => { const s = hands.lamps.systems.find((x) => x.name === name); if (s) choose(ofSystem(s)); })),
    h("section", { class: "light", "aria-label": "Their light" }, chosen, seenRows, blackRow,
      h("p", {}, h("button", { type: "button", "data-do": "let go", click: () => void tell(hands.order(whom.system ? { do: "let go", system: whom.system } : { do: "let go", units: whom.units })) }, "Let these go"),
        h("button", { type: "button", "data-do": "let all go", click: () => void tell(hands.order({ do: "let go" })) }, "Let all go"))),
    h("section", { class: "keeping", "aria-label": "Looks" },
      h("p", {}, lookChoice, keep, h("label", {}, blindBox, " set it for this look alone, the lamps stay")), blindWords, blindKeep,
      h("p", {}, undo, undoWords),
      h("p", {}, h("button", { type: "button", "data-do": "bring", click: () => void tell(hands.order({ do: "look", look: lookChoice.value })) }, "Bring it up"),
        h("button", { type: "button", "data-do": "give back", click: () => void tell(hands.order({ do: "look" })) }, "Back to the show")),
      h("p", {}, "compare ", first, h("button", { type: "button", "data-do": "one", click: () => compare(first) }, "see"), " with ", second, h("button", { type: "button", "data-do": "other", click: () => compare(second) }, "see")))));
  lookChoice.addEventListener("change", () => { if (blind) { blind = lookChoice.value; pending = []; show(); } });
  let opened = false;
  hands.watch(() => {
    const s = hands.lamps.systems[0];
    if (!opened && s) {
      opened = true;
      choose(ofSystem(s));
    }
    show();
  });
}

// picture is the stage as it is lit now: a touch on a place chooses what lights it most.
function picture(model: Model, run: Run, choose: (system: string) => void): HTMLElement {
  const view = viewsOf(model.show.room)[0];
  if (!view) return h("p", { class: "soft" }, "The room is not described, so there is no picture to point into.");
  const p = new Picture(view), words = h("figcaption", {}, "Touch what should look different.");
  const canvas = p.canvas;
  canvas.setAttribute("aria-label", "the stage as it is lit now");
  canvas.addEventListener("click", (e) => void touch(e));
  p.seer = "camera"; // what an eye is used to would change with every touch of a slider
  async function touch(e: MouseEvent): Promise<void> {
    const place = (await p.what(p.at(e))).name;
    if (!place) return;
    const list = await answer<Reach[]>("/api/reach?place=" + encodeURIComponent(place));
    const most = list[0];
    words.textContent = most ? `${place}: ${list.slice(0, 3).map((x) => `${x.system} ${share(x.share)}`).join(", ")} of what can light it` : `No lamp reaches ${place}.`;
    if (most) choose(most.system);
  }
  const ask = (): void => { if (!document.hidden && canvas.isConnected) p.show("now=yes"); };
  setInterval(ask, 500);
  setTimeout(ask, 50);
  void run;
  return h("figure", {}, p.stage, words);
}

void start(build);
