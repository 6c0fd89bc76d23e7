// What every page does first: load the show, listen to the run, fill the head.
import { contents } from "./data";
import { clock } from "./clock";
import { h, main } from "./dom";
import { Model } from "./model";
import { Run } from "./run";

export async function start(build: (model: Model, run: Run) => void | Promise<void>): Promise<void> {
  try {
    const model = new Model(await contents());
    const run = new Run(model.show.edition);
    // Another edition of the files: load again, at the same place on the page.
    run.replaced(() => location.reload());
    run.watch(() => head(model, run));
    await build(model, run);
    document.documentElement.dataset["ready"] = "yes";
  } catch (e) {
    main().append(h("p", { class: "failure", role: "alert" }, "The show did not arrive. Is lampblack still running? ", h("br"), String(e)));
    throw e;
  }
}

let said = "";

function head(model: Model, run: Run): void {
  const p = document.getElementById("run");
  if (!p) return;
  const r = run.head, cue = model.show.cues[model.cueAt(run.now)];
  const text = run.lost ? "No word from the program" : !r.running ? "" : r.idle ? "Lamps by hand, no show" : `${r.state === "lost" ? "Clock lost" : r.held ? "Held" : r.state === "held" ? "Waiting" : "Running"} ${r.stage.now ? `in ${r.stage.now}` : `at ${clock(run.now)}${cue ? `, cue ${cue.number}` : ""}`}`;
  if (text === said) return;
  said = text;
  p.textContent = text;
  p.classList.toggle("lost", run.lost || r.running && r.state === "lost");
}
