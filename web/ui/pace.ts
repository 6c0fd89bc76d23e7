// Work in small steps between frames, so that a page that scrolls goes on scrolling.

type Job = { steps: Iterator<unknown>; near: () => number; done: () => void };

// budget is how long the steps of one frame may take together; the last may take longer.
const budget = 3; // ms

export class Pace {
  readonly #jobs = new Map<object, Job>();
  #runs = false;

  // take has a job done step by step, the nearest first. Of one owner there is one job.
  take(owner: object, steps: Iterator<unknown>, near: () => number, done: () => void): void {
    this.#jobs.set(owner, { steps, near, done });
    if (this.#runs) return;
    this.#runs = true;
    requestAnimationFrame(() => this.#frame());
  }

  leave(owner: object): void {
    this.#jobs.delete(owner);
  }

  // now does all of a job at once.
  now(owner: object): void {
    const job = this.#jobs.get(owner);
    this.#jobs.delete(owner);
    while (job && !job.steps.next().done);
    job?.done();
  }

  #frame(): void {
    const end = performance.now() + budget;
    while (this.#jobs.size && performance.now() < end) {
      const [owner, job] = [...this.#jobs].reduce((a, b) => (b[1].near() < a[1].near() ? b : a));
      if (!job.steps.next().done) continue;
      if (this.#jobs.get(owner) === job) this.#jobs.delete(owner);
      job.done();
    }
    this.#runs = this.#jobs.size > 0;
    if (this.#runs) requestAnimationFrame(() => this.#frame());
  }
}
