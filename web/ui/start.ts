// What every page does first: load the show, listen to the run, fill the head.
import { contents } from "./data";
import { clock, sentence } from "./clock";
import { h, main } from "./dom";
import { Model } from "./model";
import { enter, Unanswered } from "./key";
import { Run } from "./run";

// Renews goes over to another edition of the show; false where that takes a page that is loaded again.
export type Renews = (model: Model) => boolean;

export async function start(build: (model: Model, run: Run) => void | Renews | Promise<void | Renews>): Promise<void> {
  try {
    // A link that is opened in the same tab brings its key too.
    addEventListener("hashchange", () => { if (/^#(key|pair)=/.test(location.hash)) location.reload(); });
    await enter();
    const model = new Model(await contents());
    entitle(model);
    const run = new Run(model.show.edition);
    // Another edition of the files: load again, at the same place on the page, unless the page knows how
    // to go over to it.
    let renew: Renews | undefined;
    run.replaced(() => {
      if (!renew) return location.reload();
      void contents().then((c) => { run.edition = c.edition; if (!renew?.(new Model(c))) location.reload(); }, () => location.reload());
    });
    run.watch(() => head(model, run));
    // Taken out: the page that comes instead says why, and shows nothing of the show.
    run.watch(() => { if (run.refused) location.reload(); });
    renew = await build(model, run) ?? undefined;
    document.getElementById("waits")?.remove();
    document.documentElement.dataset["ready"] = "yes";
  } catch (e) {
    document.getElementById("waits")?.remove();
    main().append(h("p", { class: "failure", role: "alert" }, ...failure(e)));
    if (!(e instanceof Unanswered && e.status === 401)) throw e;
  }
}

// entitle names the show, and shows the way to the pages that the laptop alone has.
function entitle(model: Model): void {
  const s = model.show, title = document.getElementById("title");
  document.title = `${s.title} · ${document.title}`;
  title?.replaceChildren(s.title, ...(s.owner ? [] : [h("small", {}, `${s.reader}: ${s.right}`)]));
  for (const e of document.querySelectorAll<HTMLElement>("[data-owned]")) e.hidden = !s.owner;
}

// failure says why there is no page, to somebody who cannot look into it.
function failure(e: unknown): readonly (Node | string)[] {
  if (e instanceof Unanswered && [401, 403, 409, 429].includes(e.status)) return [sentence(e.text)];
  return ["The show did not arrive. Is lampblack still running? ", h("br"), String(e)];
}

let said = "";

function head(model: Model, run: Run): void {
  const p = document.getElementById("run");
  if (!p) return;
  const r = run.head, cue = model.cues[model.cueAt(run.now)];
  const text = run.lost ? "No word from the program" : !r.running ? "" : r.idle ? "Lamps by hand, no show" : `${r.state === "lost" ? "Clock lost" : r.held ? "Held" : r.state === "held" ? "Waiting" : "Running"} ${r.stage.now ? `in ${r.stage.now}` : `at ${clock(run.now)}${cue ? `, cue ${cue.number}` : ""}`}`;
  if (text === said) return;
  said = text;
  p.textContent = text;
  p.classList.toggle("lost", run.lost || r.running && r.state === "lost");
}
