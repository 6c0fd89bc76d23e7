// The ear of the page Seat, which runs in the browser's audio thread: how loud it was, bin by
// bin, with no gap.
export {};

declare abstract class AudioWorkletProcessor {
  readonly port: MessagePort;
}
declare const registerProcessor: (name: string, of: new () => AudioWorkletProcessor) => void;

const bin = 24; // samples: half a millisecond
const block = 160; // bins that go together

class Ear extends AudioWorkletProcessor {
  #sum = 0;
  #count = 0;
  #levels = new Uint8Array(block);
  #filled = 0;

  process(inputs: readonly (readonly Float32Array[])[]): boolean {
    const samples = inputs[0]?.[0];
    // Without an input yet there is silence, which takes its time too.
    for (let i = 0; i < (samples?.length ?? 128); i++) {
      const v = samples?.[i] ?? 0;
      this.#sum += v * v;
      if (++this.#count < bin) continue;
      this.#levels[this.#filled++] = Math.min(255, Math.round(255 * (this.#sum / bin) ** 0.125));
      this.#sum = this.#count = 0;
      if (this.#filled < block) continue;
      this.port.postMessage(this.#levels);
      this.#levels = new Uint8Array(block);
      this.#filled = 0;
    }
    return true;
  }
}

registerProcessor("ear", Ear);
