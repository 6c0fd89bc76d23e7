// The page that the program opens with: shows that were open, a new one, the examples.
import type { Begun, Recent, Shows, Work } from "./api";
import { anew, demo, opened, shows } from "./ask";
import { sentence } from "./clock";
import { h, main } from "./dom";
import { enter, Unanswered } from "./key";

const field = (label: string, input: HTMLElement, hint = ""): HTMLElement =>
  h("label", { class: "asked" }, h("span", {}, label), input, hint && h("small", {}, hint));

// follow waits until a book is open, and goes there.
async function follow(b: Begun, told: HTMLElement): Promise<void> {
  for (;;) {
    const works: readonly Work[] = (await shows(b.dir)).works, w = works.find((one) => one.kind === "open");
    if (!w || w.failed) throw new Error(w?.failed ?? "the book was not opened");
    if (w.done) return void (location.href = "/");
    told.textContent = sentence(w.what).replace(/\.$/, "") + (w.share > 0 ? ` (${Math.round(100 * w.share)} %)` : "") + " …";
    await new Promise((done) => setTimeout(done, 300));
  }
}

function build(s: Shows): void {
  const told = h("p", { class: "told", role: "status" });
  let busy = false;
  async function once(work: () => Promise<void>): Promise<void> {
    if (busy) return;
    busy = true;
    told.classList.remove("wrong");
    told.textContent = "";
    try {
      await work();
    } catch (e) {
      told.classList.add("wrong");
      told.textContent = sentence(e instanceof Error ? e.message : String(e));
      told.scrollIntoView({ block: "nearest" });
    }
    busy = false;
  }
  main().append(h("div", { class: "begins" }, h("h1", {}, "Shows"), told, fresh(s, once), recent(s, once, told), examples(s, once, told),
    h("p", { class: "colophon" }, "Lampblack computes and warns. Flashing light, ultraviolet, mains, darkness and things overhead can hurt: local codes and licensed people decide.")));
}

// folder is what the folder of a title is called: a title may have marks that no folder may.
const folder = (title: string): string => title.replace(/[/\\:*?"<>|]+/g, "-").replace(/\s+/g, " ").replace(/^[. ]+|[. ]+$/g, "").slice(0, 80).trim();

type Once = (work: () => Promise<void>) => Promise<void>;

// fresh is the first question: it makes the folder that the others write into.
function fresh(s: Shows, once: Once): HTMLElement {
  const title = h("input", { type: "text", name: "title", required: true, maxlength: 80, autocomplete: "off" }), place = h("input", { type: "text", name: "in", value: s.home, spellcheck: "false" });
  const about = h("textarea", { name: "about", rows: 2, maxlength: 1000 });
  return h("section", { class: "sheet" }, h("h2", {}, "A new show"),
    h("p", { class: "says" }, "Eight plain questions lead to a show that is drafted and checked. Each may be skipped and come back to."),
    h("form", { novalidate: true, submit: (e) => {
      e.preventDefault();
      void once(async () => {
        if (!title.value.trim()) throw new Error("a show wants a title, if only for now");
        const b = await anew(folder(title.value), place.value, { title: title.value, about: about.value, place: "", evening: false });
        location.href = "/begin/show?dir=" + encodeURIComponent(b.dir);
      });
    } }, field("What is it called?", title), field("What happens, in a sentence or two?", about), field("Its folder goes into", place),
    h("button", { type: "submit", class: "chief" }, "Begin")));
}

function recent(s: Shows, once: Once, told: HTMLElement): HTMLElement {
  const row = (r: Recent): HTMLElement => h("li", {},
    h("a", { href: "/begin/show?dir=" + encodeURIComponent(r.dir), class: "name" }, r.title), h("small", {}, r.dir),
    h("span", { class: "does" },
      h("button", { type: "button", "data-open": r.dir, click: () => void once(async () => follow(await opened(r.dir), told)) }, "Open the book"),
      h("a", { href: "/begin/show?dir=" + encodeURIComponent(r.dir) }, "The questions")));
  return h("section", { class: "sheet", "aria-labelledby": "recent" }, h("h2", { id: "recent" }, "Shows that were open"),
    s.open && h("p", {}, h("a", { href: "/" }, "Back to the book that is open")),
    s.recent.length > 0 ? h("ul", { class: "shows" }, ...s.recent.map(row)) : h("p", { class: "says" }, "None yet on this computer."));
}

function examples(s: Shows, once: Once, told: HTMLElement): HTMLElement {
  return h("section", { class: "sheet", "aria-labelledby": "examples" }, h("h2", { id: "examples" }, "Examples"),
    h("p", { class: "says" }, "Each is written into a folder, and can be changed as any show. Its sound is made on this computer, which takes a few seconds."),
    h("ul", { class: "shows" }, ...s.demos.map((d) => {
      const name = h("input", { type: "text", value: d.dir, "aria-label": `folder of ${d.title}`, spellcheck: "false" }), place = h("input", { type: "text", value: s.home, "aria-label": `where the folder of ${d.title} goes`, spellcheck: "false" });
      return h("li", {}, h("b", { class: "name" }, d.title), h("small", {}, d.says), h("span", { class: "does" },
        h("details", {}, h("summary", {}, "into ", d.dir), field("Its folder", name), field("goes into", place)),
        h("button", { type: "button", "data-demo": d.name, click: () => void once(async () => follow(await demo(d.name, place.value, name.value.trim()), told)) }, "Write it and open its book")));
    })));
}

async function start(): Promise<void> {
  try {
    addEventListener("hashchange", () => { if (/^#key=/.test(location.hash)) location.reload(); });
    await enter();
    build(await shows());
  } catch (e) {
    main().append(h("p", { class: "failure", role: "alert" }, e instanceof Unanswered && e.status === 401 ? sentence("this browser has no key: open the link that the program has printed") : String(e)));
  }
  document.getElementById("waits")?.remove();
  document.documentElement.dataset["ready"] = "yes";
}

void start();
