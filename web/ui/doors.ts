// The round before doors: one thing at a time in large letters, and the list of all.
import type { Item, Round } from "./api";
import { h, main } from "./dom";
import { send as ask } from "./key";
import type { Model } from "./model";
import type { Run } from "./run";
import { start } from "./start";

// Sent answers how the round then stands; what went wrong is thrown in words.
async function send(what: string, body?: object): Promise<Round> {
  const r = await ask(`/api/doors/${what}`, { method: "POST", ...(body && { body: JSON.stringify(body) }), signal: AbortSignal.timeout(20000) });
  if (!r.ok) throw new Error((await r.text()).trim());
  return (await r.json()) as Round;
}

const words: Record<string, string> = { "open": "look", "good": "good", "not good": "not good", "left": "left so" };

const settled = (i: Item): boolean => i.state === "good" || i.state === "left";

function build(_: Model, run: Run): void {
  const sum = h("p", { class: "sum", role: "status" }), told = h("p", { class: "told", role: "alert" }), written = h("p", { class: "written" });
  const card = h("section", { class: "one", "aria-label": "what is looked at now" }), list = h("div", { class: "all" });
  let round: Round = { items: [], sum: "", written: "" };
  let at = ""; // the item in large letters; "" before the first
  let busy = false, asked = false;
  let anew = false; // the round is to begin anew once what is under way is done

  // act does one thing at a time: a second press while the first is on its way is none.
  async function act(work: () => Promise<Round>, then?: () => void): Promise<void> {
    if (busy) return;
    busy = true;
    told.textContent = "";
    if (!asked) draw();
    try {
      round = await work();
      then?.();
    } catch (e) {
      told.textContent = e instanceof Error ? e.message : String(e);
    }
    busy = false;
    draw();
  }

  // begin asks the computer, and takes the first that is open into the large letters.
  async function begin(): Promise<void> {
    anew = busy;
    if (busy) return;
    await act(() => send("ask"), () => {
      asked = true;
      at = round.items.find((i) => !settled(i))?.id ?? "";
    });
    if (at) await go(at);
    if (anew) await begin();
  }

  const item = (): Item | undefined => round.items.find((i) => i.id === at);

  // go takes an item into the large letters; a lamp that can pulse does so at once, and the
  // one before ends.
  async function go(id: string): Promise<void> {
    at = id;
    const i = item();
    await act(() => i?.try ? send("try", { id }) : send("rest"));
  }

  // next is the first after this that nobody has settled, around the list.
  function next(): string {
    const from = round.items.findIndex((i) => i.id === at);
    const after = [...round.items.slice(from + 1), ...round.items.slice(0, from + 1)];
    return after.find((i) => !settled(i) && i.id !== at)?.id ?? "";
  }

  const tick = (state: string) => async (): Promise<void> => {
    const note = card.querySelector("input")?.value ?? "";
    let done = false;
    await act(() => send("tick", { id: at, state, note }), () => { done = true; });
    if (done) await go(next());
  };

  // out takes a lamp out for tonight: its likes take its part over.
  async function out(i: Item): Promise<void> {
    const note = card.querySelector("input")?.value ?? "";
    let done = false;
    await act(() => send("out", { id: i.id, state: "", note }), () => { done = true; });
    if (done) await go(next());
  }

  const button = (text: string, does: () => void, kind = ""): HTMLButtonElement => h("button", { type: "button", class: kind, click: () => does() }, text);

  function drawOne(i: Item | undefined): void {
    if (!asked) {
      card.replaceChildren(h("p", { class: "big" }, "The computer is asked: some seconds."));
      return;
    }
    if (!i) {
      card.replaceChildren(h("p", { class: "big" }, round.items.length && round.items.every(settled) ? "That is all." : "Nothing is left to look at but what is not good."));
      return;
    }
    const what = i.state === "open" ? i.found.replace(/^look yourself: /, "") : i.found;
    card.replaceChildren(h("div", {},
      h("p", { class: "big" }, i.text), h("p", { class: "what" }, what),
      i.state === "not good" && h("p", { class: "cure" }, i.cure),
      h("div", { class: "ticks" },
        button("Good", tick("good"), "yes"), button("Not good", tick("not good")),
        i.try && button(i.try === "pulse" ? "Pulse again" : "Play again", () => void go(i.id)),
        button("Later", () => void go(next()))),
      h("div", { class: "ticks small" },
        h("label", {}, "a few words ", h("input", { type: "text", maxlength: 200 })), i.out ? button("Take it out tonight", () => void out(i)) : button("Leave it so tonight", tick("left")))));
  }

  function draw(): void {
    sum.textContent = round.items.length ? `${round.items.filter(settled).length} of ${round.items.length} looked at and good or left so` : "";
    written.textContent = round.written && `In the night's report: ${round.written}`;
    drawOne(item());
    const groups = [...new Set(round.items.map((i) => i.group))];
    list.replaceChildren(...groups.map((g) => h("section", {}, h("h2", {}, g), h("ul", {}, ...round.items.filter((i) => i.group === g).map((i) =>
      h("li", {}, h("button", { type: "button", class: `row ${i.state.replace(" ", "-")}`, "aria-current": i.id === at, click: () => void go(i.id) },
        h("b", {}, words[i.state] ?? i.state), h("span", {}, i.text), i.state !== "open" && h("small", {}, i.state === "not good" ? `${i.found} — ${i.cure}` : i.found))))))));
  }

  main().append(h("div", { class: "doors" }, sum, told, card,
    h("div", { class: "ticks" }, button("Ask the computer again", () => void act(() => send("ask"))), button("Into the night's report", () => void act(() => send("finish")))), written, list));
  // A run that begins brings lamps and outputs into the round.
  let running = run.head.running;
  run.watch(() => {
    if (run.head.running === running) return;
    running = run.head.running;
    void begin();
  });
  // An alarm that is set off, or reset, says by itself that its input works.
  let stood = run.head.alarm.stands;
  run.watch(() => {
    if (run.head.alarm.stands === stood) return;
    stood = run.head.alarm.stands;
    void act(async () => (await (await ask("/api/doors")).json()) as Round);
  });
  run.watch(() => { if (run.lost) told.textContent = "No word from the program: is it still running?"; });
  // Who leaves the page leaves no lamp pulsing.
  addEventListener("pagehide", () => void ask("/api/doors/rest", { method: "POST", keepalive: true }));
  draw();
  void begin();
}

void start(build);
