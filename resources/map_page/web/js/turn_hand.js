// Turning and scaling what is chosen: by a grip of the ring and the mouse, or by arrow keys once the ring is taken.

const STARTS_AFTER_PX = 3;
const STEADY = { turn: 15, scale: 0.1 }; // with Shift
const KEY_STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 0.01], ArrowDown: [0, -0.01] };
const BIG = 10;
const LEAST_SCALE = 0.001;
const WHAT_A_GRIP_DOES = { turn: "Drag round to turn; Shift: by 15°", scale: "Drag to scale; Shift: by 10 %" };

export class TurnHand {
  #map;
  #plan;
  #picture;
  #ring;
  #edits;
  #balloon;
  #now = null; // {grip, pressed, from, started}; grip "keys" while keys do it
  #hover = null;

  constructor(map, plan, picture, ring, edits) {
    this.#map = map;
    this.#plan = plan;
    this.#picture = picture;
    this.#ring = ring;
    this.#edits = edits;
    this.#balloon = document.createElement("div");
    this.#balloon.className = "map-balloon";
    this.#balloon.hidden = true;
    map.getContainer().append(this.#balloon);
    window.addEventListener("mousemove", (event) => this.#onMove(event), true);
    window.addEventListener("mouseup", (event) => { if (this.#byMouse && event.button === 0) this.#letGo(); }, true);
    map.getContainer().addEventListener("blur", () => this.#endKeys());
  }

  get isActive() {
    return this.#now !== null;
  }

  get #byMouse() {
    return this.#now !== null && this.#now.grip !== "keys";
  }

  // Whether a press takes a grip.
  press(at) {
    this.#endKeys();
    const grip = this.#ring.gripUnder(at);
    if (grip === null) return false;
    this.#now = { grip, pressed: at, from: this.#polar(at), started: false };
    this.#hover = null;
    return true;
  }

  hover(at) {
    const grip = this.isActive ? null : this.#ring.gripUnder(at);
    if (grip !== this.#hover) {
      this.#hover = grip;
      this.#tell();
    }
    return grip !== null;
  }

  take() {
    if (this.isActive || !this.#ring.isShown) return;
    this.#map.getContainer().focus({ preventScroll: true });
    this.#now = { grip: "keys", started: false };
    this.#ring.isTaken = true;
    this.#ring.draw();
    this.#tell();
  }

  // Whether a key was for it.
  key(event) {
    if (!this.isActive) return false;
    if (event.key === "Escape") {
      this.abandon();
    } else if (this.#byMouse) {
      return false;
    } else if (event.key === "Enter") {
      this.#endKeys();
    } else if (event.key in KEY_STEPS) {
      const [turn, scale] = KEY_STEPS[event.key].map((step) => step * (event.shiftKey ? BIG : 1));
      this.#start();
      const now = this.#plan.reshaped;
      this.#to(rounded(now.turn + turn), Math.max(rounded(now.scale + scale), 0.01));
    } else {
      return false;
    }
    event.preventDefault();
    event.stopPropagation();
    return true;
  }

  abandon() {
    if (this.#now === null) return;
    if (this.#now.started) {
      this.#plan.reshape(0, 1);
      this.#edits.reshaped(0, 1, "end");
    }
    this.drop();
  }

  // The desk's plan has lost what the hand holds.
  dropIfLost() {
    if (this.#now?.started && this.#plan.reshaped === null) this.drop();
  }

  drop() {
    this.#now = null;
    this.#ring.isTaken = false;
    this.#map.getContainer().classList.remove("holding");
    this.#picture.draw();
    this.#tell();
  }

  // With what the desk says of it in a corner.
  draw() {
    this.#ring.draw();
    this.#tell();
  }

  #onMove(event) {
    if (!this.#byMouse) return;
    event.stopPropagation();
    if ((event.buttons & 1) === 0) { // let go where the page could not hear of it
      this.#letGo();
      return;
    }
    const at = this.#map.mouseEventToContainerPoint(event);
    if (!this.#now.started && at.distanceTo(this.#now.pressed) < STARTS_AFTER_PX) return;
    this.#start();
    const { grip, from } = this.#now;
    const to = this.#polar(at);
    const steady = (value, step) => (event.shiftKey ? Math.round(value / step) * step : value);
    if (grip === "turn") this.#to(rounded(steady(wound(to.bearing - from.bearing), STEADY.turn)), 1);
    else this.#to(0, Math.max(rounded(steady(to.distance / from.distance, STEADY.scale)), LEAST_SCALE));
  }

  #start() {
    if (this.#now.started) return;
    this.#now.started = true;
    this.#ring.isTaken = true;
    if (this.#byMouse) this.#map.getContainer().classList.add("holding");
    this.#plan.holdChosen();
    this.#edits.reshaped(0, 1, "start");
  }

  #to(turn, scale) {
    this.#plan.reshape(turn, scale);
    this.#picture.draw();
    this.#tell();
    this.#edits.reshaped(turn, scale, "move");
  }

  #letGo() {
    if (this.#now.started) {
      const { turn, scale } = this.#plan.asked;
      this.#edits.reshaped(turn, scale, "end");
    }
    this.drop();
  }

  #endKeys() {
    if (this.#now?.grip === "keys") this.#letGo();
  }

  #polar(at) {
    const by = at.subtract(this.#ring.middle);
    return { bearing: (Math.atan2(by.x, -by.y) * 180) / Math.PI, distance: Math.max(Math.hypot(by.x, by.y), 1) };
  }

  #tell() {
    const first = this.#now?.grip === "keys" ? "Left and right turn, up and down scale (Shift: more); Enter keeps, Escape drops" : "";
    const words = this.#now === null ? WHAT_A_GRIP_DOES[this.#hover] ?? "" : this.#plan.turning || first;
    this.#balloon.hidden = words === "" || !this.#ring.isShown;
    if (this.#balloon.hidden) return;
    this.#balloon.textContent = words;
    // In a corner: there it covers neither points nor controls, and stays while the hand goes round.
    const stamp = document.getElementById("notice");
    const end = stamp.hidden ? this.#map.getSize().x : stamp.offsetLeft;
    this.#balloon.style.maxWidth = `${Math.max(end - 16, 60)}px`;
  }
}

function wound(degrees) {
  return ((degrees + 540) % 360) - 180;
}

function rounded(value) {
  return Math.round(value * 1000) / 1000;
}
