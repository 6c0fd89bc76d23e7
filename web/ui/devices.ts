// The laptop's own page: which devices are paired, what each may do, and what was asked.
import type { Asked, Guest, Invitation, Paired } from "./api";
import { sentence } from "./clock";
import { answer, post } from "./data";
import { drawn, h, main } from "./dom";
import { send } from "./key";
import type { Model } from "./model";
import { start } from "./start";

// What the rights are, as the program has them.
const rights: readonly (readonly [string, string])[] = [
  ["watch", "reads every page"],
  ["focus", "sets lamps by hand, notes what is aimed, goes round before doors, lights up"],
  ["go", "gives the orders of the Night page: go, hold, back, sound, lights up"],
  ["all", "does all of these, and writes into the show's files"],
];

// often is how often the lists are asked for.
const often = 1500; // ms

const time = (text: string): string => new Date(text).toLocaleTimeString("en-GB");

const day = (text: string): string => new Date(text).toLocaleString("en-GB", { weekday: "short", hour: "2-digit", minute: "2-digit" });

// ago says how long something has been, to the minute.
function ago(text: string): string {
  const minutes = Math.floor((Date.now() - Date.parse(text)) / 60000);
  return minutes < 1 ? "just now" : minutes < 60 ? `${minutes} min ago` : `${Math.floor(minutes / 60)} h ago`;
}

const choice = (now: string, name: string, change?: (right: string) => void): HTMLSelectElement => {
  const s = h("select", { "aria-label": name, change: () => change?.(s.value) }, ...rights.map(([right]) => h("option", { value: right, selected: right === now }, right)));
  return s;
};

function build(model: Model): void {
  const told = h("p", { class: "told", role: "alert" }), card = h("section", { class: "invitation", "aria-label": "the code that pairs a device" });
  const paired = h("tbody"), asked = h("tbody"), address = h("p", { class: "quiet" });
  if (!model.show.owner) {
    main().append(h("p", { class: "failure" }, "This page is for the laptop alone."));
    return;
  }

  const may = choice("focus", "what the next device may do");

  let shown = ""; // the code of the card
  function putAway(): void {
    shown = "";
    card.replaceChildren();
  }

  async function invite(): Promise<void> {
    const r = await send("/api/devices/invite", { method: "POST", body: JSON.stringify({ right: may.value }) });
    if (!r.ok) {
      told.textContent = sentence((await r.text()).trim());
      return;
    }
    const i = (await r.json()) as Invitation;
    told.textContent = "";
    shown = i.link.split("#pair=")[1] ?? "";
    card.replaceChildren(drawn(i.code, "code"), h("div", {}, h("p", {}, `Scan this with the device, once, before ${time(i.until)}. It may then: `, h("b", {}, i.right), "."),
      h("p", { class: "quiet" }, "The device must be in the same network. Or type: ", h("code", {}, i.link)),
      h("button", { type: "button", click: putAway }, "Put it away")));
  }

  const act = (what: string, body: object) => async (): Promise<void> => {
    told.textContent = sentence(await post(`/api/devices/${what}`, body).catch(() => "the order did not arrive: is the program still there?"));
    await look();
  };

  const row = (d: Guest): HTMLElement => h("tr", {}, h("th", { scope: "row" }, d.name), h("td", {}, d.from),
    h("td", {}, choice(d.right, `what ${d.name} may do`, (right) => void act("allow", { id: d.id, right })())),
    h("td", {}, ago(d.seen)), h("td", {}, day(d.until)), h("td", {}, h("button", { type: "button", click: act("out", { id: d.id }) }, "Take out")));

  const line = (o: Asked): HTMLElement => h("tr", { class: o.said === "done" ? "" : "refused" }, h("td", {}, time(o.time)), h("th", { scope: "row" }, o.who + (o.from ? `, ${o.from}` : "")),
    h("td", {}, o.order), h("td", {}, o.times > 1 ? `${o.times} times` : ""), h("td", {}, o.said));

  let known = "", devices = 0;
  async function look(): Promise<void> {
    const p = await answer<Paired>("/api/devices").catch(() => undefined);
    if (!p) {
      told.textContent = "No word from the program: is it still running?";
      return;
    }
    const gone = shown !== "" && !p.codes.includes(shown);
    if (gone && p.devices.length > devices) putAway(); // it was used
    else if (gone) {
      await invite(); // the program was started anew, or its time was over
      if (shown) told.textContent = "The code that was shown here pairs nothing any more. This is a new one.";
    }
    devices = p.devices.length;
    const text = JSON.stringify(p) + Math.floor(Date.now() / 60000);
    if (text === known || document.activeElement?.closest("tbody select")) return;
    known = text;
    address.textContent = p.address ? `Other machines come to ${p.address}, ${p.sealed ? "sealed by TLS" : "in plain sight: who is in the network can read along, and cannot give orders"}.` : "No other machine can come: the program was started without --phone.";
    paired.replaceChildren(...p.devices.map(row));
    if (!p.devices.length) paired.append(h("tr", {}, h("td", { colspan: 6 }, "none")));
    asked.replaceChildren(...p.orders.map(line));
  }

  const scroll = (name: string, e: HTMLElement): HTMLElement => h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": name }, e);
  const head = (...names: string[]): HTMLElement => h("thead", {}, h("tr", {}, ...names.map((n) => h("th", { scope: "col" }, n))));
  main().append(h("div", { class: "chapter devices" }, h("h2", {}, "Devices"), address, told,
    h("p", {}, "Let another device come, which may ", may, " ", h("button", { type: "button", click: () => void invite() }, "Show a code")),
    card,
    scroll("the devices", h("table", { class: "ruled" }, head("device", "from", "may", "last seen", "until", "or"), paired)),
    h("dl", { class: "rights" }, ...rights.flatMap(([right, says]) => [h("dt", {}, right), h("dd", {}, says)])),
    h("h2", {}, "Orders"), scroll("the orders", h("table", { class: "ruled" }, head("time", "who", "asked for", "how often", "what came of it"), asked))));
  setInterval(() => { if (!document.hidden) void look(); }, often);
  void look();
}

void start(build);
