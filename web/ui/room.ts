// The room page: the picture large, and what is read on every surface.
import { clock, reading } from "./clock";
import type { Stood } from "./api";
import { answer, fill } from "./data";
import { h, main } from "./dom";
import type { Model } from "./model";
import { Pane } from "./pane";
import { Pencil } from "./pencil";
import type { Run } from "./run";
import { Setting } from "./setting";
import { start, type Renews } from "./start";

async function build(model: Model, run: Run): Promise<void | Renews> {
  const show = model.show, pane = new Pane(model), stood = await answer<Stood>("/api/stood");
  const pencil = new Pencil(() => model), setting = show.writes && !stood.guessed && show.room.solved ? new Setting(model, stood, pencil) : undefined;
  const body = h("tbody");
  const time = h("input", { type: "number", min: 0, max: show.length, step: 0.1, value: 0, "aria-label": "second of the show", input: () => { follow.checked = false; go(Number(time.value)); } });
  const cue = h("select", { change: () => { follow.checked = false; go(model.cues[cue.selectedIndex - 1]?.complete ?? 0); } },
    h("option", {}, "before the first cue"), ...model.cues.map((c) => h("option", {}, `${c.number} ${model.look(c)?.name ?? ""}`)));
  const follow = h("input", { type: "checkbox", checked: true });
  const said = h("span", { class: "quiet" });

  let later: ReturnType<typeof setTimeout> | undefined, drawn = -1;
  const drawings = (["lux", "uv"] as const).map((of) => h("img", { class: "plate", "data-of": of, alt: "" }));
  function go(t: number): void {
    const at = Math.min(Math.max(t || 0, 0), show.length);
    if (document.activeElement !== time) time.value = at.toFixed(1);
    cue.selectedIndex = model.cueAt(at) + 1;
    said.textContent = [clock(at, 1), model.barAt(at)].filter(Boolean).join(", ");
    pane.show(Math.round(at * 20) / 20);
    setting?.show(Math.round(at * 20) / 20);
    // The plans take a while to draw: once a cue while a run is followed.
    const wanted = follow.checked && run.here ? (model.cues[model.cueAt(at)]?.complete ?? 0) : at;
    clearTimeout(later);
    later = setTimeout(() => plans(wanted), 250);
  }

  function plans(t: number): void {
    if (t === drawn || !show.room.solved) return;
    drawn = t;
    for (const e of drawings) {
      const of = e.dataset["of"] ?? "lux";
      void fill(e, `/plate/plan?at=${t.toFixed(3)}&of=${of}`, of === "lux" ? `The light on the plan at ${clock(t, 1)}` : `The ultraviolet on the plan at ${clock(t, 1)}`);
      e.alt = `${of === "lux" ? "illuminance 1 m over the floor" : "ultraviolet at an eye, and how long one may stay"}, from above, at ${clock(t, 1)}`;
    }
  }

  pane.onReadings = (list) => body.replaceChildren(...list.map((r) => h("tr", {},
    h("th", { scope: "row", title: r.kind }, r.name),
    h("td", { class: "n" }, reading(r.lux, "lx", 0.001)), h("td", { class: "n" }, r.kind === "surface" || r.kind === "object" ? reading(r.luminance, "cd/m²", 1e-5) : ""),
    h("td", { class: "n" }, r.kind === "object" ? reading(r.glow, "cd/m²", 1e-5) : ""), h("td", { class: "n" }, reading(r.uv, "W/m²", 1e-6)))));

  main().append(h("div", { class: "chapter wide" },
    h("div", { class: "choose" }, h("label", {}, "show cue ", cue, " when finished"), h("label", {}, "or second ", time), said, h("label", {}, follow, " follow the run")),
    h("div", { class: "roompage" }, pane.element, h("div", { class: "scroll" },
      h("table", { class: "ruled readings" }, h("thead", {}, h("tr", {}, ...["where", "light", "bright", "own glow", "UV-A"].map((t, i) => h("th", { scope: "col", class: i ? "n" : "" }, t)))), body),
      show.room.guessed && h("p", {}, show.room.guessed + " So all of this is on a guess; the Checks page says which fact is worth most next."),
      h("p", { class: "quiet" }, "Means over each surface and object; at eyes, along their gaze. Worked out from what the units are thought to give, and where they hang; a meter in the room beats it."))),
    show.room.solved && h("section", { class: "plates", "aria-label": "Plans" }, ...drawings.map((e) => h("figure", { class: "plated" }, h("p", { class: "waits" }, "The plan is being worked out."), e)))));
  if (setting) main().querySelector(".chapter")?.append(h("h2", {}, "The room by hand"), pencil.element, setting.element);
  run.watch(() => { if (follow.checked && run.here) go(run.now); });
  const asked = Number(new URLSearchParams(location.search).get("at"));
  go(asked || (model.cues[0]?.complete ?? 0));
  if (!setting) return;
  return (next) => {
    if (next.show.room.eyes.length !== model.show.room.eyes.length) return false;
    model = next;
    pane.renew(next);
    drawn = -1;
    void answer<Stood>("/api/stood").then((s) => {
      setting.renew(next, s);
      go(Number(time.value));
    });
    void pencil.look();
    return true;
  };
}

void start(build);
