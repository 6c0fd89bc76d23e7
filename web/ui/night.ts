// The running page: what is now, what comes next, and the orders.
import type { Stage, Wrong } from "./api";
import { clock, countdown, sentence } from "./clock";
import { h, main } from "./dom";
import type { Brief, Model } from "./model";
import { order, type Run } from "./run";
import { skipWords, soundbar } from "./soundbar";
import { start } from "./start";
import { trims } from "./trims";

// The keys are those of the program itself.
type Order = { name: string; text: string; keys: readonly string[]; keyName: string; class?: string };

const orders: readonly Order[] = [
  { name: "hold", text: "Hold", keys: [" ", "h"], keyName: "space" },
  { name: "go", text: "Go", keys: ["g", "Enter"], keyName: "G" },
  { name: "skip", text: "Skip", keys: ["n"], keyName: "N" },
  { name: "back", text: "Back", keys: ["b"], keyName: "B" },
  { name: "lights-up", text: "Lights up", keys: ["l"], keyName: "L", class: "up" },
  { name: "lights-down", text: "Lights down", keys: ["d"], keyName: "D", class: "down" },
];

// For a change of the show's files.
const editOrders: readonly Order[] = [
  { name: "edit-now", text: "Take it now", keys: ["e"], keyName: "E" },
  { name: "edit-at-cue", text: "At the next cue", keys: ["c"], keyName: "C" },
  { name: "edit-not", text: "Not tonight", keys: ["i"], keyName: "I" },
  { name: "edit-back", text: "Back to what ran before", keys: ["z"], keyName: "Z" },
];

// In the band of an alarm, which is there while one stands.
const resets: Order = { name: "alarm-reset", text: "Reset the alarm", keys: ["r"], keyName: "R, twice" };

function build(model: Model, run: Run): void {
  const show = model.show;
  const now = h("div", { class: "big" }), next = h("div", { class: "big" }), count = h("div", { class: "big" });
  const nowWhy = h("p", { class: "why" }), nextWhy = h("p", { class: "why" });
  const time = h("span"), state = h("span", { role: "status" }), left = h("span");
  const told = h("p", { class: "told", role: "alert" });
  const round = h("a", { href: "/doors" });
  const fault = h("p", { class: "fault", role: "status" }), held = h("p", { class: "heldnow", role: "status" }), wrongs = h("div", { class: "wrongs", role: "status" });
  const alarm = h("div", { class: "alarm", role: "alert", hidden: true }), what = h("b"), todo = h("p"), said = h("p");
  const reset = h("button", { type: "button", disabled: !show.steerable, "data-order": resets.name, click: () => void give(resets) }, resets.text, h("small", {}, resets.keyName));
  alarm.append(what, todo, said, show.steerable ? reset : "");
  const may = (name: string): boolean => show.steerable || show.rescues && name === "lights-up";
  const buttons = orders.map((o) => h("button", { type: "button", class: o.class, disabled: !may(o.name), "data-order": o.name, click: () => void give(o) }, o.text, h("small", {}, o.keyName)));

  const edit = h("div", { class: "edit", role: "status", hidden: true }), news = h("p");
  const edits = editOrders.map((o) => h("button", { type: "button", "data-order": o.name, click: () => void give(o) }, o.text, h("small", {}, o.keyName)));
  edit.append(news, h("p", {}, ...(show.steerable ? edits : [])));

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
    const cue = h("select", { "aria-label": "cue to rehearse from" }, ...model.cues.map((c) => h("option", {}, `${c.number} ${model.look(c)?.name ?? ""}`)));
    const lead = 8; // s: time to hear where one is (common practice, 3 to 10 s)
    return h("p", { class: "rehearse" }, "rehearse from ", h("button", { type: "button", "data-order": "seek", click: () => {
      const at = Math.max(0, (model.cues[cue.selectedIndex]?.start ?? 0) - lead);
      void order("seek", `?to=${at.toFixed(3)}`).then((t) => { told.textContent = t; });
    } }, `${lead} s before`), cue);
  }

  const line = (e: HTMLElement, c: Brief | undefined, none: string): void => e.replaceChildren(...(c ? [h("b", {}, c.number), " ", model.look(c)?.name ?? ""] : [none]));
  // whyOf is known once the minute of the cue was fetched.
  const whyOf = (c: Brief | undefined): string => c ? model.whole(c)?.why || model.look(c)?.purpose || "" : "";

  const tonight = trims(run);
  const takes = rehearse(), inside = h("p", { class: "label" }, "in");
  const zones = h("div", { class: "zones" }), standby = h("p", { class: "standby", role: "status" }), presses = h("p", { class: "presses" });
  let known = "";

  // stage tells of an evening or of zones, whose steps are not the cues of the book's piece.
  const stage = (s: Stage): void => {
    now.replaceChildren(s.now);
    nowWhy.textContent = s.nowWhy;
    next.replaceChildren(s.next);
    if (next.parentElement) next.parentElement.hidden = !s.next;
    nextWhy.textContent = s.nextWhy;
    count.textContent = s.count >= 0 ? countdown(s.count) : "";
    standby.textContent = s.standby && `Standby: ${s.standby}`;
    if (s.notice) told.textContent = sentence(s.notice);
    zones.replaceChildren(...s.zones.map((z) => h("p", {}, h("b", {}, z.zone), " ", z.text)));
    const list = JSON.stringify(s.triggers);
    if (list === known) return;
    known = list;
    presses.replaceChildren(...s.triggers.map((t) => h("button", { type: "button", "data-order": "press", click: () => {
      void order("press", `?trigger=${encodeURIComponent(t)}`).then((w) => { told.textContent = w; });
    } }, t)));
  };

  let words = "", cues = "";
  const tell = (): void => {
    const t = run.now, i = model.cueAt(t), after = model.cues[i + 1];
    const until = after && run.head.running ? countdown((after.start - t) / (run.head.speed || 1)) : "";
    const text = [clock(t), until, run.lost, JSON.stringify({ ...run.head, at: 0 })].join();
    if (text !== words) {
      words = text;
      time.textContent = run.head.stage.now ? clock(t) : `${clock(t)} of ${clock(show.length)}`;
      left.textContent = run.head.stage.now ? "" : model.barAt(t);
      count.textContent = until;
      state.className = run.lost || run.head.state === "lost" ? "lost" : "";
      state.textContent = stands(run, show.steerable);
      alarm.hidden = !run.head.alarm.stands || !run.head.running;
      what.textContent = run.head.alarm.text;
      todo.textContent = sentence(run.head.alarm.hint);
      said.textContent = sentence(run.head.alarm.notice);
      if (!run.head.alarm.stands && run.head.alarm.notice) told.textContent = sentence(run.head.alarm.notice);
      held.textContent = run.head.hand && `By hand: ${run.head.hand}`;
      const bad = run.head.running && !run.lost && run.head.fault;
      fault.replaceChildren(...(bad ? [h("b", {}, sentence(run.head.fault)), " ", sentence(run.head.hint)] : []));
      wrongs.replaceChildren(...(run.head.running && !run.lost ? run.head.wrong.map(wrongLine) : []));
      edit.hidden = !run.head.running || !run.head.edit.text && !run.head.edit.back;
      news.textContent = sentence(run.head.edit.text);
      edits.forEach((b, i) => { b.hidden = i < 3 ? !run.head.edit.offered : !run.head.edit.back; });
      round.textContent = run.head.doors ? `Before doors, ${run.head.doors}` : "Before doors: nobody has looked yet";
      fault.classList.toggle("lost", run.head.state === "lost");
      buttons[1]?.firstChild?.replaceWith(run.head.held ? "Go on" : "Go");
      buttons[2]?.firstChild?.replaceWith(skipWords(run.head.hearing));
      for (const b of buttons) b.classList.toggle("set", b.dataset["order"] === "lights-up" && run.head.lightsUp || b.dataset["order"] === "hold" && run.head.held);
    }
    takes.hidden = run.head.stage.away;
    inside.hidden = run.head.stage.now !== "" && run.head.stage.count < 0;
    if (run.head.stage.now && run.head.running) {
      cues = "";
      stage(run.head.stage);
      return;
    }
    if (zones.firstChild || presses.firstChild || standby.textContent) stage(run.head.stage); // it was an evening until now
    for (const [e, why] of [[nowWhy, whyOf(model.cues[i])], [nextWhy, whyOf(after)]] as const) if (e.textContent !== why) e.textContent = why;
    const pair = `${i}/${run.head.running}`;
    if (pair === cues) return;
    cues = pair;
    if (next.parentElement) next.parentElement.hidden = false;
    line(now, model.cues[i], "dark");
    line(next, after, "nothing more");
  };

  const sound = soundbar(run, told, show.steerable);
  main().append(h("div", { class: "night" }, alarm,
    h("div", { class: "reading" },
      h("div", { class: "state" }, time, left, state), wrongs, fault, held, tonight.back, sound.state, zones, standby,
      h("div", { class: "nowcue" }, h("p", { class: "label" }, "now"), now, nowWhy), h("div"),
      h("div", { class: "next" }, h("p", { class: "label" }, "next"), next, nextWhy),
      h("div", { class: "count" }, inside, count)),
    h("div", { class: "hands" }, told, show.steerable && presses, show.steerable && takes, edit, h("div", { class: "orders" }, ...buttons), sound.acts), sound.rest,
    show.steerable && tonight.panel, show.steerable && h("p", { class: "round" }, round),
    h("p", { class: "round" }, "Exit signs, emergency lighting and house lights must work without this program. An alarm input is no fire alarm system.")));
  addEventListener("keydown", (e) => {
    const o = [...orders, ...editOrders, resets].find((x) => x.keys.includes(e.key.length === 1 ? e.key.toLowerCase() : e.key));
    if (!o || e.ctrlKey || e.metaKey || e.altKey || !may(o.name)) return;
    const on = e.target instanceof Element ? e.target : undefined;
    // Space is hold, whatever has the focus, but for what is typed or ticked; enter and letters
    // belong to what is focused, where something is.
    if (on?.closest("input, select") && (e.key !== " " || on.closest("input:not([type=range]), select"))) return;
    if (e.key === "Enter" && on?.closest("button, select, a, summary")) return;
    e.preventDefault();
    if (!e.repeat) void give(o);
  }, { capture: true });
  // A button is pressed when space is let go of: that must not follow.
  addEventListener("keyup", (e) => {
    if (e.key === " " && e.target instanceof Element && e.target.closest("button, summary")) e.preventDefault();
  }, { capture: true });
  run.watch(tell);
  model.spans.watch(() => {
    words = "";
    tell();
  });
  tell();
}

// wrongLine says what is wrong with an output or the computer, and what to do.
function wrongLine(w: Wrong): HTMLElement {
  return h("p", { class: w.lost ? "lost" : undefined }, h("b", {}, sentence(`${w.of}: ${w.text}`)), " ", sentence(w.hint), h("small", {}, ` since ${w.since}`));
}

// stands says in a few words how the run stands.
function stands(run: Run, steerable: boolean): string {
  const head = run.head, speed = Math.round(head.speed * 100);
  if (run.lost) return "No word from the program";
  if (!head.running) return steerable ? "Not running" : "No run is attached: start one with lampblack run";
  if (head.alarm.stands) return "Alarm";
  if (head.lightsUp) return "Lights are up";
  if (head.idle) return "The lamps are by hand";
  if (head.state === "lost") return "Clock lost";
  if (head.held) return "Held";
  if (head.state === "held") return "Waiting";
  return `Running by ${head.clock || "its clock"}${speed && speed !== 100 ? ` at ${speed} %` : ""}`;
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
