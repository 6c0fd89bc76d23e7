// The running page: what is now, what comes next, and the five orders.
import type { Cue } from "./api";
import { clock, countdown } from "./clock";
import { h, main } from "./dom";
import type { Model } from "./model";
import { order, type Run } from "./run";
import { start } from "./start";

// The keys are those of the program itself.
type Order = { name: string; text: string; keys: readonly string[]; keyName: string; class?: string };

const orders: readonly Order[] = [
  { name: "hold", text: "Hold", keys: [" ", "h"], keyName: "space" },
  { name: "go", text: "Go", keys: ["g", "Enter"], keyName: "G" },
  { name: "back", text: "Back", keys: ["b"], keyName: "B" },
  { name: "lights-up", text: "Lights up", keys: ["l"], keyName: "L", class: "up" },
];

function build(model: Model, run: Run): void {
  const show = model.show;
  const now = h("div", { class: "big" }), next = h("div", { class: "big" }), count = h("div", { class: "big" });
  const nowWhy = h("p", { class: "why" }), nextWhy = h("p", { class: "why" });
  const time = h("span"), state = h("span", { role: "status" }), left = h("span");
  const told = h("p", { class: "told", role: "alert" });
  const buttons = orders.map((o) => h("button", { type: "button", class: o.class, disabled: !show.steerable, "data-order": o.name, click: () => void give(o) }, o.text, h("small", {}, o.keyName)));

  async function give(o: Order): Promise<void> {
    void stayAwake();
    const name = o.name;
    try {
      told.textContent = await order(name);
    } catch {
      told.textContent = "The order did not arrive: use the keys of the program itself, or the worklight switch";
    }
  }

  // rehearse takes the run to some seconds before a cue, with the light that
  // it has there.
  function rehearse(): HTMLElement {
    const cue = h("select", { "aria-label": "cue to take it from" }, ...show.cues.map((c) => h("option", {}, `${c.number} ${model.look(c)?.name ?? ""}`)));
    const lead = 8; // s: time to hear where one is (common practice, 3 to 10 s)
    return h("p", { class: "rehearse" }, "take it from ", cue, h("button", { type: "button", "data-order": "seek", click: () => {
      const at = Math.max(0, (show.cues[cue.selectedIndex]?.start ?? 0) - lead);
      void order("seek", `?to=${at.toFixed(3)}`).then((t) => { told.textContent = t; });
    } }, `${lead} s before`));
  }

  const line = (e: HTMLElement, why: HTMLElement, c: Cue | undefined, none: string): void => {
    e.replaceChildren(...(c ? [h("b", {}, c.number), " ", model.look(c)?.name ?? ""] : [none]));
    why.textContent = c ? c.why || model.look(c)?.purpose || "" : "";
  };

  let words = "", cues = "";
  const tell = (): void => {
    const t = run.now, i = model.cueAt(t), after = show.cues[i + 1];
    const text = [clock(t), after ? countdown(after.start - t) : "", run.lost, run.head.running, run.head.held, run.head.lightsUp].join();
    if (text !== words) {
      words = text;
      time.textContent = `${clock(t)} of ${clock(show.length)}`;
      left.textContent = model.barAt(t);
      count.textContent = run.head.running && after ? countdown(after.start - t) : "";
      state.className = run.lost ? "lost" : "";
      state.textContent = run.lost ? "No word from the program" : !run.head.running ? (show.steerable ? "Not running" : "No run is attached: start one with lampblack run") : run.head.lightsUp ? "Lights are up" : run.head.held ? "Held" : `Running by ${run.head.clock || "its clock"}`;
      buttons[1]?.firstChild?.replaceWith(run.head.held ? "Go on" : "Go");
      buttons[3]?.firstChild?.replaceWith(run.head.lightsUp ? "Lights back" : "Lights up");
    }
    const pair = `${i}/${run.head.running}`;
    if (pair === cues) return;
    cues = pair;
    line(now, nowWhy, show.cues[i], "dark");
    line(next, nextWhy, after, "nothing more");
  };

  main().append(h("div", { class: "night" },
    h("div", { class: "reading" },
      h("div", { class: "state" }, time, left, state),
      h("div", { class: "nowcue" }, h("p", { class: "label" }, "now"), now, nowWhy), h("div"),
      h("div", { class: "next" }, h("p", { class: "label" }, "next"), next, nextWhy),
      h("div", { class: "count" }, h("p", { class: "label" }, "in"), count)),
    h("div", { class: "hands" }, told, show.steerable && rehearse(), h("div", { class: "orders" }, ...buttons))));
  addEventListener("keydown", (e) => {
    const o = orders.find((x) => x.keys.includes(e.key.length === 1 ? e.key.toLowerCase() : e.key));
    if (!o || e.repeat || e.ctrlKey || e.metaKey || e.altKey || !show.steerable) return;
    // Space and enter belong to what is focused, where something is.
    if (e.target instanceof Element && e.target.closest("button, select, a")) {
      if (e.key === " " || e.key === "Enter" || e.target.closest("select")) return;
    }
    e.preventDefault();
    void give(o);
  });
  run.watch(tell);
  tell();
}

// stayAwake asks the machine to keep its screen on; a refusal is no matter.
async function stayAwake(): Promise<void> {
  try {
    await navigator.wakeLock.request("screen");
  } catch {
    // Some browsers refuse without mains power.
  }
}

void start(build);
