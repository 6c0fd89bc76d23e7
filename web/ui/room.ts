// The room page: the picture large, and what is read on every surface.
import { clock, figure } from "./clock";
import { h, main } from "./dom";
import type { Model } from "./model";
import { Pane, readings } from "./pane";
import type { Run } from "./run";
import { start } from "./start";

function build(model: Model, run: Run): void {
  const show = model.show, pane = new Pane(model);
  const body = h("tbody");
  const time = h("input", { type: "number", min: 0, max: show.length, step: 0.1, value: 0, "aria-label": "second of the show", input: () => { follow.checked = false; go(Number(time.value)); } });
  const cue = h("select", { change: () => { follow.checked = false; go(show.cues[cue.selectedIndex - 1]?.complete ?? 0); } },
    h("option", {}, "before the first cue"), ...show.cues.map((c) => h("option", {}, `${c.number} ${model.look(c)?.name ?? ""}`)));
  const follow = h("input", { type: "checkbox", checked: true });
  const said = h("span", { class: "quiet" });

  function go(t: number): void {
    const at = Math.min(Math.max(t || 0, 0), show.length);
    if (document.activeElement !== time) time.value = at.toFixed(1);
    cue.selectedIndex = model.cueAt(at) + 1;
    said.textContent = [clock(at, 1), model.barAt(at)].filter(Boolean).join(", ");
    pane.show(Math.round(at * 20) / 20);
  }

  pane.onValues = (v) => body.replaceChildren(...readings(model, v).map((r) => h("tr", {},
    h("th", { scope: "row", title: r.kind }, r.name),
    h("td", { class: "n" }, figure(r.lux)), h("td", { class: "n" }, r.kind === "surface" || r.kind === "object" ? figure(r.luminance) : ""),
    h("td", { class: "n" }, r.kind === "object" ? figure(r.glow) : ""), h("td", { class: "n" }, figure(r.uv)))));

  main().append(h("div", { class: "chapter wide" },
    h("div", { class: "choose" }, h("label", {}, "when ", cue, " complete"), h("label", {}, "or second ", time), said, h("label", {}, follow, " follow the run")),
    h("div", { class: "roompage" }, pane.element, h("div", { class: "scroll" },
      h("table", { class: "ruled readings" }, h("thead", {}, h("tr", {}, ...["where", "lx", "cd/m²", "glow, cd/m²", "UV-A, W/m²"].map((t, i) => h("th", { scope: "col", class: i ? "n" : "" }, t)))), body),
      h("p", { class: "quiet" }, "Means over each surface and object; at eyes, along their gaze. Computed from the transport of light, with best estimates of what the units give.")))));
  run.watch(() => { if (follow.checked && run.head.running) go(run.now); });
  const asked = Number(new URLSearchParams(location.search).get("at"));
  go(asked || (show.cues[0]?.complete ?? 0));
}

void start(build);
