// The rig page: the plan, the patch list, supply, and the fixture types.
import type { Hall, Rig } from "./api";
import { say } from "./clock";
import { answer, fill, plot, shape } from "./data";
import { drawn, h, main } from "./dom";
import type { Model } from "./model";
import { Patch } from "./patch";
import { Pencil } from "./pencil";
import { Rigging } from "./rigging";
import { start, type Renews } from "./start";
import { table } from "./table";

// gamut shows the chromaticities that the types reach.
function gamut(alt: string): HTMLElement {
  const e = h("img", { class: "plate", alt }), out = h("figure", { class: "plated" }, e);
  void fill(e, "/plate/gamut", "The diagram");
  return out;
}

// plan shows the lighting plan; a click on a unit leads to its line of the patch.
function plan(room: Hall): HTMLElement {
  if (!room.size[0] || !room.size[1]) return h("p", { class: "quiet" }, "The room has no size, so there is no plan.");
  const out = h("figure", { class: "plan", tabindex: 0, role: "region", "aria-label": "Lighting plan", click: (e) => {
    const unit = e.target instanceof Element ? e.target.closest<SVGElement>("[data-name]")?.dataset["name"] : undefined;
    for (const row of document.querySelectorAll<HTMLElement>("[data-unit]")) {
      const found = row.dataset["unit"] === unit;
      row.closest("tr")?.classList.toggle("found", found);
      if (found) row.scrollIntoView({ block: "center" });
    }
  } });
  out.append(h("p", { class: "waits" }, "The lighting plan is being drawn."));
  plot().then((text) => out.replaceChildren(drawn(text, "plot")), () => out.replaceChildren("The plan did not arrive: is the program still there?"));
  return out;
}

function patch(s: Rig): HTMLElement {
  const rows = s.units.map((u) => {
    const t = s.types[u.type];
    return [h("span", { "data-unit": u.name }, u.name), t?.name ?? "unknown type", u.mode || t?.modes[0]?.name || "", String(u.universe), u.last > u.address ? `${u.address} to ${u.last}` : String(u.address),
      u.systems.join(", "), u.at.map((v) => v.toFixed(2)).join("  ") + (u.guessed ? " guessed" : ""), u.fedBy ? "through " + u.fedBy : u.circuit, u.line, u.onLoss || "not known", u.note] as const;
  }).sort((a, b) => Number(a[3]) - Number(b[3]) || parseInt(a[4]) - parseInt(b[4]));
  return table(["unit", "type", "mode", "universe", "slots", "systems", "x y z, m", "fed", "line", "on data loss", "note"], rows, "Patch list");
}

function supply(s: Rig): HTMLElement {
  return table(["circuit", "breaker", "units", "voltage", "rated, W", "at full, A"], s.circuits.map((c) =>
    [c.name, c.breaker, c.units.map((i) => s.units[i]?.name ?? "").join(", "), say(c.voltage, "V") + (c.voltageSaid ? "" : ", taken for granted"), c.watts, c.watts / c.voltage] as const), "Supply");
}

function types(s: Rig): HTMLElement[] {
  return s.types.map((t) => h("div", { class: "entry" }, h("h3", {}, t.name),
    h("p", { class: "quiet" }, [t.cells > 1 ? `${t.cells} cells` : "", `beam ${t.half}°`, t.tenth ? `field ${t.tenth}°` : "", t.max ? say(t.max, "W") : ""].filter(Boolean).join(", ")),
    table(["emitter", "output", "spectrum", "peak, nm"], t.emitters.map((e) => [e.name, e.output, drawn(e.spectrum, "spectrum"), e.peak] as const), `Emitters of ${t.name}`),
    ...t.modes.map((m) => h("details", {}, h("summary", {}, `${m.name}: ${m.footprint} slots`), table(["slot", "does"], m.slots.map((x) => [x.number, x.does] as const), `Slots of ${m.name}`)))));
}

async function build(model: Model): Promise<Renews> {
  const { room } = model.show, [s, rooms] = await Promise.all([answer<Rig>("/api/rig"), shape()]);
  const pencil = new Pencil(() => model), rigging = model.show.writes && room.size[0] && s.units.length ? new Rigging(model, s, rooms, pencil) : undefined;
  const list = model.show.writes && s.units.length ? new Patch(s, pencil, (unit) => rigging?.hang.choose(unit)) : undefined;
  main().append(h("div", { class: "chapter wide" },
    model.show.writes && pencil.element,
    ...(rigging ? [h("h2", {}, "Lamps by hand"), rigging.element] : []),
    h("h2", {}, "Lighting plan"), room.guessed && h("p", { class: "quiet" }, room.guessed), plan(room),
    h("h2", {}, "Patch list"), list?.element ?? patch(s),
    h("h2", {}, "Supply"),
    h("p", { class: "lede" }, "Rated maxima, summed. Mains work belongs to those who are licensed for it; the limits are on the Checks page."), s.circuits.length ? supply(s) : h("p", { class: "quiet" }, "No circuit is described."),
    h("h2", {}, "Colours within reach"),
    h("p", { class: "lede" }, "What each type reaches by mixing, and what all of them can match."), gamut( "CIE 1976 diagram of what the fixture types reach: " + s.types.map((t) => t.name).join(", ")),
    h("h2", {}, "Fixture types"), h("div", { class: "lookbook" }, ...types(s))));
  return (next) => {
    model = next;
    void answer<Rig>("/api/rig").then((rig) => {
      rigging?.renew(next, rig);
      list?.renew(rig);
    });
    void pencil.look();
    return !!list;
  };
}

void start(build);
