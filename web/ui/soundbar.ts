// The sound of a run, and light that stands meanwhile: on the Night page, in its manner. No
// order here is a toggle: each says what is to be, and may be given again.
import type { ExtraOf, Hearing, SoundOrder, SpeakerOf } from "./api";
import { clock, sentence } from "./clock";
import { post } from "./data";
import { h } from "./dom";
import type { Run } from "./run";

const none: SoundOrder = { do: "", zone: "", over: 0, level: 0, off: false, name: "", channel: 0, delay: 0 };

// soundbar returns the parts of the page: what stands, the acts, which stay in sight, and the
// rest below.
// told takes what is answered; steers tells whether the page may give orders at all.
export function soundbar(run: Run, told: HTMLElement, steers: boolean): { state: HTMLElement; acts: HTMLElement; rest: HTMLElement } {
  const zone = h("select", { "aria-label": "zone" });
  const over = seconds("over which sound fades");
  const freeze = act("Freeze light", "F", () => ask({ do: "freeze light" }));
  const again = act("Light on again", "U", () => ask({ do: "light on again" }));
  const stop = act("Stop all", "S", () => ask({ do: "stop all", over: Number(over.value) }));
  const state = h("p", { class: "handed", role: "status" });

  const level = h("select", { "aria-label": "level of the piece" },
    ...[0, -3, -6, -10, -15, -20, -30].map((db) => h("option", { value: db }, db === 0 ? "its own" : `${db} dB`.replace("-", "\u2212"))), h("option", { value: "off" }, "off"));
  const fade = small("Fade to it", () => ask({ do: "sound level", level: level.value === "off" ? 0 : Number(level.value), off: level.value === "off", over: Number(over.value) }));
  const own = small("Its own level", () => ask({ do: "sound level", over: Number(over.value) }));
  const skip = small("Skip, sound and all", () => ask({ do: "skip for certain" }));
  const sure = h("input", { type: "checkbox", "aria-label": "skipping ahead is meant" });
  const extras = h("div", { class: "rows" }), speakers = h("div", { class: "rows" });
  const quiet = small("All extra sounds off", () => ask({ do: "extra sounds off" }));
  skip.disabled = true;
  sure.addEventListener("change", () => { skip.disabled = !sure.checked; });

  const more = h("details", { class: "sounds" }, h("summary", {}, "Level of the piece, skipping, loudspeakers"),
    h("p", { class: "row" }, "the piece: ", level, fade, own),
    h("p", { class: "row" }, h("label", {}, sure, " skip ahead in the sound to the next cue: "), skip),
    speakers);
  const acts = h("div", { class: "soundbar" }, h("div", { class: "acts" }, freeze, again, stop));
  const rest = h("div", { class: "soundbar" }, extras, h("p", { class: "row" }, h("label", {}, "sound fades over ", over, " s"), zone), more);
  acts.hidden = rest.hidden = !steers;

  async function ask(o: Partial<SoundOrder>): Promise<void> {
    try {
      told.textContent = await post("/api/sound", { ...none, zone: zone.value, ...o });
    } catch {
      told.textContent = "The order did not arrive: use the keys of the program itself";
    }
    if (o.do === "skip for certain") {
      sure.checked = false;
      skip.disabled = true;
    }
  }

  // Rows stay while they say the same sounds, so that a button keeps the finger and the focus.
  let listed = "";
  const list = (all: readonly ExtraOf[]): void => {
    const names = JSON.stringify(all.map((e) => [e.name, e.key]));
    if (names !== listed) {
      listed = names;
      extras.replaceChildren(...(all.length ? [h("p", { class: "label" }, "extra sounds"), ...all.map((e) => h("p", { class: "row" },
        small("Play", () => ask({ do: "extra sound", name: e.name })), h("b", {}, e.name), e.key && h("small", {}, e.key.toUpperCase()), h("output", {}))), h("p", { class: "row" }, quiet)] : []));
    }
    [...extras.querySelectorAll("output")].forEach((o, i) => { o.textContent = all[i]?.plays ? "plays" : ""; });
  };

  const speaker = (s: SpeakerOf, held: boolean): HTMLElement => {
    const db = h("input", { type: "number", step: 0.5, min: -60, max: 6, value: s.level, "aria-label": `level of ${s.name}, dB` });
    const ms = h("input", { type: "number", step: 1, min: 0, max: 300, value: s.delay, "aria-label": `delay of ${s.name}, ms` });
    const test = small("Test", () => ask({ do: "test signal", channel: s.channel }));
    test.disabled = !held;
    return h("p", { class: "row" }, test, h("b", {}, s.name), ` channel ${s.channel} `, h("label", {}, db, " dB"), h("label", {}, ms, " ms late"),
      small("Keep for the hall", () => ask({ do: "trim", channel: s.channel, level: Number(db.value), delay: Number(ms.value) })));
  };

  let known = "", shown = "", chosen = false;
  over.addEventListener("change", () => { chosen = over.value !== ""; });
  const tell = (): void => {
    const now = run.head.hearing, held = run.head.held && !run.lost;
    const text = JSON.stringify([now, held]);
    if (text === known) return;
    known = text;
    // A button that has nothing to do stays: whoever presses it twice does no harm.
    freeze.setAttribute("aria-pressed", String(now.frozen));
    state.textContent = says(now);
    state.hidden = !state.textContent;
    if (!chosen) over.value = String(now.stops || 3);
    if (zone.options.length !== now.zones.length + 1) zone.replaceChildren(h("option", { value: "" }, "all zones"), ...now.zones.map((z) => h("option", {}, z)));
    zone.hidden = now.zones.length < 2;
    if (now.notice && !run.head.stage.now) told.textContent = sentence(now.notice);
    list(now.extras);
    const rows = JSON.stringify([now.device, held, now.speakers]);
    if (rows === shown || speakers.contains(document.activeElement) && document.activeElement instanceof HTMLInputElement) return;
    shown = rows;
    speakers.replaceChildren(...(now.device ? [h("p", { class: "label" }, held ? "loudspeakers" : "loudspeakers: the test signal is for a show that is held"), ...now.speakers.map((s) => speaker(s, held))] : []));
  };
  run.watch(tell);
  addEventListener("keydown", (e) => {
    if (!steers || e.repeat || e.ctrlKey || e.metaKey || e.altKey || e.target instanceof Element && e.target.closest("select, input")) return;
    const key = e.key.toLowerCase(), played = run.head.hearing.extras.find((x) => x.key === key);
    const orders: Record<string, Partial<SoundOrder>> = { f: { do: "freeze light" }, u: { do: "light on again" }, s: { do: "stop all", over: Number(over.value) }, x: { do: "extra sounds off" } };
    const o = played ? { do: "extra sound", name: played.name } : orders[key];
    if (!o) return;
    e.preventDefault();
    void ask(o);
  });
  tell();
  return { state, acts, rest };
}

// says tells in words what a hand has done to light and sound.
function says(now: Hearing): string {
  const words: string[] = [];
  if (now.live) words.push(`Live sound: ${now.live}`);
  if (now.frozen) words.push(`The light is frozen: it stands while the show goes on${now.violet ? ", ultraviolet too: mind how long" : ""}`);
  if (now.lowered >= 100) words.push("The sound of the piece is off");
  else if (now.lowered > 0) words.push(`The sound of the piece is ${now.lowered} dB below its own`);
  if (now.tests) words.push("A test signal plays");
  const plays = now.extras.filter((e) => e.plays).map((e) => e.name);
  if (plays.length) words.push(`Extra: ${plays.join(", ")}`);
  return words.join(". ");
}

// skipWords is what the button of skip says: where a second press would go.
export function skipWords(now: Hearing): string {
  return now.skips ? `Skip to ${clock(now.skipsTo)}?` : "Skip";
}

function act(text: string, key: string, click: () => Promise<void>): HTMLButtonElement {
  return h("button", { type: "button", click: () => void click() }, text, h("small", {}, key));
}

function small(text: string, click: () => Promise<void>): HTMLButtonElement {
  return h("button", { type: "button", class: "small", click: () => void click() }, text);
}

function seconds(label: string): HTMLInputElement {
  return h("input", { type: "number", min: 0.5, max: 60, step: 0.5, "aria-label": label });
}
