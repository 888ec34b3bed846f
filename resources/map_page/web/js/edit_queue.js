// One edit in flight: the next goes out only after the desk has dealt with the last one.
// A newer move replaces a waiting one; beginnings, insertions and ends are always delivered.

const END_AT_LATEST_MS = 2000;

export class EditQueue {
  #send;
  #onSettled;
  #waiting = [];
  #inFlight = null;
  #timer = null;
  #afterwards = [];

  constructor(send, onSettled) {
    this.#send = send;
    this.#onSettled = onSettled;
  }

  get isIdle() {
    return this.#inFlight === null && this.#waiting.length === 0;
  }

  // Do something once all edits up to now have been dealt with.
  whenIdle(then) {
    this.#afterwards.push(then);
    this.#rest();
  }

  inserted(part, afterIndex, lonlat) {
    this.#push({ kind: "vertex_inserted", args: [part, afterIndex, ...lonlat] });
  }

  moved(part, index, lonlat, phase) {
    this.#step({ kind: "vertex_moved", args: [part, index, ...lonlat, phase], phase });
  }

  reshaped(turn, scale, phase) {
    this.#step({ kind: "reshaped", args: [turn, scale, phase], phase });
  }

  #step(edit) {
    const { phase } = edit;
    if (phase === "move" && this.#waiting.at(-1)?.phase === "move") this.#waiting.pop();
    this.#push(edit);
    if (phase === "end") this.#timer = setTimeout(() => this.#flush(), END_AT_LATEST_MS);
  }

  acknowledge() {
    const done = this.#inFlight;
    this.#inFlight = null;
    if (done?.phase === "end") this.#settled();
    this.#next();
    this.#rest();
  }

  #push(edit) {
    this.#waiting.push(edit);
    this.#next();
  }

  #next() {
    if (this.#inFlight !== null || this.#waiting.length === 0) return;
    this.#inFlight = this.#waiting.shift();
    this.#send(this.#inFlight.kind, ...this.#inFlight.args);
  }

  #flush() {
    if (this.isIdle) return;
    for (const edit of this.#waiting) this.#send(edit.kind, ...edit.args);
    this.#waiting = [];
    this.#inFlight = null;
    this.#settled();
    this.#rest();
  }

  #rest() {
    while (this.isIdle && this.#afterwards.length > 0) this.#afterwards.shift()();
  }

  #settled() {
    if (!this.#waiting.some((edit) => edit.phase === "end")) clearTimeout(this.#timer);
    if (this.#waiting.length === 0) this.#onSettled();
  }
}
