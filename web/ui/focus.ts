// Focusing alone, from a phone on the ladder: one lamp after another, alone, found, aimed,
// noted.
import type { Aim, Rig, Room } from "./api";
import { dab } from "./dab";
import { answer, shape } from "./data";
import { h, main, svg } from "./dom";
import { Hands } from "./hands";
import type { Model } from "./model";
import type { Run } from "./run";
import { start } from "./start";

async function build(_: Model, run: Run): Promise<void> {
  const [aims, rig, room] = await Promise.all([answer<Aim[]>("/api/focus"), answer<Rig>("/api/rig"), shape()]);
  const hands = new Hands(run);
  let at = 0, fault = -1, tried = 0;
  const shine = h("span"), name = h("h2", { class: "unit" }), where = h("p", { class: "mark" }), lights = h("p", { class: "soft" }), patch = h("p", { class: "soft" }), count = h("span", { class: "soft" });
  const told = h("p", { class: "told", role: "alert" }), holds = h("p", { class: "holds", role: "status" });
  const plan = h("figure", { class: "plan" }), trouble = h("section", { class: "trouble", "aria-label": "It does not answer" });
  const near = h("p", { class: "near" }), note = h("input", { type: "text", "aria-label": "a note about how it is aimed", placeholder: "a note, as: shutter cut on the door" });
  const aimed = h("button", { type: "button", "data-do": "aimed", click: () => void mark(true) }), again = h("button", { type: "button", "data-do": "not aimed", click: () => void mark(false) }, "Not yet aimed");
  const choose = h("select", { "aria-label": "unit", change: () => go(choose.selectedIndex) }, ...aims.map((a) => h("option", {}, a.unit)));

  const tell = async (p: Promise<string>): Promise<void> => { told.textContent = await p; };
  const order = (does: string, unit = ""): void => void tell(hands.order(unit ? { do: does, units: [unit] } : { do: does }));
  const here = (): Aim | undefined => aims[at];

  // go goes to a unit. Where one was alone, the next one is.
  function go(to: number): void {
    at = (to + aims.length) % aims.length;
    fault = -1;
    const does = hands.lamps.focus.does;
    if (does === "alone" || does === "pulse") order(does, here()?.unit);
    show();
  }

  async function mark(done: boolean): Promise<void> {
    const unit = here()?.unit ?? "";
    await tell(hands.aimed(unit, done, note.value));
    if (!told.textContent && done) go(at + 1);
  }

  let drawn = "";
  function show(): void {
    const a = here(), l = hands.lamps, known = rig.units[at];
    if (!a) return;
    holds.textContent = hands.lost || l.wrong || (l.focus.does ? `${l.focus.unit ? l.focus.unit + ": " : ""}${l.focus.does}` : run.head.idle ? "The lamps are dark." : "The show has the lamps.");
    holds.classList.toggle("lost", hands.lost !== "" || l.wrong !== "");
    const done = l.aimed.find((x) => x.unit === a.unit);
    aimed.textContent = done ? "Aimed, once more" : "Aimed: next";
    again.hidden = !done;
    count.textContent = `${l.aimed.length} of ${aims.length} aimed`;
    for (const b of document.querySelectorAll<HTMLButtonElement>(".focus [data-do]")) b.setAttribute("aria-pressed", l.focus.does !== "" && l.focus.does === b.dataset["do"] ? "true" : "false");
    const lamp = l.lamps[at];
    shine.replaceChildren(lamp ? dab([lamp]) : "");
    // What can be pressed is made anew only when it is another.
    const key = JSON.stringify([at, fault, tried, done, l.outs]);
    if (key === drawn) return;
    drawn = key;
    choose.selectedIndex = at;
    name.replaceChildren(shine, a.unit, done ? h("small", {}, " aimed" + (done.note ? `: ${done.note}` : "")) : "");
    where.textContent = a.mark;
    lights.textContent = a.lights.length ? `It lights ${a.lights.join(", ")}.` : "";
    patch.textContent = known ? `universe ${known.universe}, from slot ${known.address}` : "";
    near.replaceChildren("beside it: ", ...a.near.slice(0, 3).map((i) => h("button", { type: "button", click: () => go(i) }, aims[i]?.unit ?? "")));
    plan.replaceChildren(drawing(room, aims, at));
    trouble.replaceChildren(...(fault < 0 ? [] : faultFinder(a)));
  }

  // faultFinder goes through what to look at, cheapest first.
  function faultFinder(a: Aim): (Node | string)[] {
    const t = a.fault[tried];
    const out = hands.lamps.outs.some((o) => o.unit === a.unit);
    return [h("p", {}, t?.text ?? ""), h("p", {},
      t?.unit ? h("button", { type: "button", "data-do": "find", click: () => order("pulse", t.unit) }, `Let ${t.unit} pulse`) : false,
      h("button", { type: "button", click: () => { tried = Math.max(0, tried - 1); show(); } }, "Before"),
      tried + 1 < a.fault.length ? h("button", { type: "button", "data-do": "next try", click: () => { tried++; show(); } }, "It is not that: on") : false,
      h("button", { type: "button", click: () => { fault = -1; show(); } }, "It answers")),
    h("p", {}, out ? h("button", { type: "button", click: () => order("back", a.unit) }, "Back in the show") : h("button", { type: "button", "data-do": "out", click: () => void tell(hands.order({ do: "out", units: [a.unit], why: "does not answer" })) }, "Take it out for tonight"))];
  }

  const button = (does: string, text: string, press: () => void): HTMLElement => h("button", { type: "button", "data-do": does, "aria-pressed": "false", click: press }, text);
  main().append(h("div", { class: "focus" }, holds, told,
    h("p", { class: "which" }, button("before", "‹ Before", () => go(at - 1)), choose, button("next", "Next ›", () => go(at + 1))),
    name, where, lights,
    h("div", { class: "does" },
      button("alone", "This one alone", () => order("alone", here()?.unit)),
      button("pulse", "Find it", () => order("pulse", here()?.unit)),
      button("all off", "All off", () => order("all off")),
      button("work light", "Work light", () => order("work light")),
      button("as it was", "As it was", () => order("as it was"))),
    h("p", { class: "done" }, aimed, again, count), note,
    h("p", {}, h("button", { type: "button", "data-do": "trouble", click: () => { fault = at; tried = 0; order("pulse", here()?.unit); show(); } }, "It does not answer")), trouble,
    h("p", { class: "caution" }, "Black light is held to what an eye a metre away may take; do not look into it. A lamp overhead has its safety bond before it is touched. Hot parts stay hot."),
    near, plan, patch));
  hands.watch(show);
  show();
}

// drawing is the plan from above with the unit, its mark, and how wide it lights there.
function drawing(room: Room, aims: readonly Aim[], at: number): SVGSVGElement {
  const a = aims[at];
  const xs = aims.flatMap((u) => [u.at[0], u.aim[0]]), ys = aims.flatMap((u) => [u.at[1], u.aim[1]]);
  const known = room.size[0] > 0 && room.size[1] > 0;
  const left = known ? -room.size[0] / 2 : Math.min(...xs) - 1, right = known ? room.size[0] / 2 : Math.max(...xs) + 1;
  const low = known ? -room.front : Math.min(...ys) - 1, high = known ? room.size[1] - room.front : Math.max(...ys) + 1;
  const e = svg("svg", { viewBox: `${left - 0.3} ${-high - 0.3} ${right - left + 0.6} ${high - low + 0.6}`, role: "img", "aria-label": a ? `plan: ${a.unit} and where it points` : "plan" });
  e.append(svg("rect", { class: "room", x: left, y: -high, width: right - left, height: high - low }), svg("line", { class: "edge", x1: left, x2: right, y1: 0, y2: 0 }));
  for (const p of room.panels) if ((p.kind === "object" || p.kind === "surface") && Math.abs(p.normal[2]) < 0.7) {
    const end = [0, 1].map((i) => (p.corner[i] ?? 0) + (p.u[i] ?? 0) * p.width + (p.v[i] ?? 0) * p.height);
    e.append(svg("line", { class: "thing", x1: p.corner[0], y1: -p.corner[1], x2: end[0] ?? 0, y2: -(end[1] ?? 0) }));
  }
  aims.forEach((u, i) => e.append(svg("circle", { class: i === at ? "this" : "other", cx: u.at[0], cy: -u.at[1], r: i === at ? 0.22 : 0.1 })));
  if (a) {
    const far = Math.hypot(a.aim[0] - a.at[0], a.aim[1] - a.at[1], a.aim[2] - a.at[2]), wide = Math.min(far * Math.tan((a.beam * Math.PI) / 360), 4);
    e.append(svg("line", { class: "beam", x1: a.at[0], y1: -a.at[1], x2: a.aim[0], y2: -a.aim[1] }), svg("circle", { class: "lit", cx: a.aim[0], cy: -a.aim[1], r: Math.max(wide, 0.1) }),
      svg("path", { class: "cross", d: `M${a.aim[0] - 0.25} ${-a.aim[1]}h0.5M${a.aim[0]} ${-a.aim[1] - 0.25}v0.5` }));
  }
  return e;
}

void start(build);
