// One point under the hand, from press to release; it moves here at once and at the desk when that keeps up.

const STARTS_AFTER_PX = 3;

export class Drag {
  #map;
  #plan;
  #picture;
  #edits;
  #now = null; // {pressed, grip, point, middle, moved, onRelease}

  constructor(map, plan, picture, edits) {
    this.#map = map;
    this.#plan = plan;
    this.#picture = picture;
    this.#edits = edits;
    window.addEventListener("mousemove", (event) => this.#onMove(event), true);
    window.addEventListener("mouseup", (event) => this.#onRelease(event), true);
  }

  get isActive() {
    return this.#now !== null;
  }

  // Whether the desk's plan has lost what the hand holds, or is about to take hold of.
  get isLost() {
    if (this.#now === null) return false;
    const { moved, point } = this.#now;
    if (moved) return this.#plan.held === null;
    return point !== null && this.#plan.position(point.part, point.index) === null;
  }

  begin(pressed, point, middle, onRelease) {
    const from = (point ?? middle).lonlat;
    const grip = this.#map.latLngToContainerPoint([from[1], from[0]]).subtract(pressed);
    this.#now = { pressed, grip, point, middle, from, moved: false, onRelease };
  }

  // Back to where it began; the desk hears of it as an end.
  abandon() {
    if (this.#now?.moved) this.#end(this.#now.from);
    this.drop();
  }

  drop() {
    this.#now = null;
    this.#map.getContainer().classList.remove("holding");
  }

  #onMove(event) {
    const now = this.#now;
    if (now === null) return;
    event.stopPropagation();
    if ((event.buttons & 1) === 0) { // let go where the page could not hear of it
      this.#letGo(event);
      return;
    }
    const at = this.#map.mouseEventToContainerPoint(event);
    if (!now.moved && at.distanceTo(now.pressed) < STARTS_AFTER_PX) return;
    if (!now.moved) this.#start(now);
    const lonlat = this.#lonlat(at);
    const { part, index } = this.#plan.held;
    this.#plan.move(lonlat);
    this.#picture.draw();
    this.#edits.moved(part, index, lonlat, "move");
  }

  #start(now) {
    now.moved = true;
    this.#map.getContainer().classList.add("holding");
    if (now.middle !== null) {
      const { part, after } = now.middle;
      this.#plan.insert(part, after, now.from);
      this.#edits.inserted(part, after, now.from);
    } else {
      this.#plan.hold(now.point.part, now.point.index, now.from);
    }
    const { part, index } = this.#plan.held;
    if (now.middle !== null) this.#plan.selected = { part, index };
    this.#edits.moved(part, index, now.from, "start");
  }

  #onRelease(event) {
    if (this.#now !== null && event.button === 0) this.#letGo(event);
  }

  #letGo(event) {
    const now = this.#now;
    if (now.moved) this.#end(this.#lonlat(this.#map.mouseEventToContainerPoint(event)));
    this.drop();
    now.onRelease(now.moved);
  }

  #end(lonlat) {
    const { part, index } = this.#plan.held;
    this.#plan.move(lonlat);
    this.#picture.draw();
    this.#edits.moved(part, index, lonlat, "end");
  }

  #lonlat(at) {
    const { lng, lat } = this.#map.containerPointToLatLng(at.add(this.#now.grip));
    return [lng, lat];
  }
}
