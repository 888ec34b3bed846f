// Where the pointer is, told to the desk a few times a second, and whether it is near the path.

import { stretchUnder } from "./hit_test.js";

const EVERY_MS = 40;

export class Hover {
  #map;
  #plan;
  #gestures;
  #link;
  #latest = null;
  #timer = null;
  #isNear = false;

  constructor(map, plan, gestures, link) {
    this.#map = map;
    this.#plan = plan;
    this.#gestures = gestures;
    this.#link = link;
    const element = map.getContainer();
    element.addEventListener("mousemove", (event) => this.#note(map.mouseEventToContainerPoint(event)));
    element.addEventListener("mouseleave", () => this.leave());
  }

  leave() {
    this.#latest = null;
    if (this.#isNear) this.#link.send("hover_left");
    this.#isNear = false;
  }

  #note(at) {
    this.#latest = at;
    if (this.#timer !== null) return;
    this.#tell();
    this.#timer = setTimeout(() => {
      this.#timer = null;
      if (this.#latest !== null) this.#note(this.#latest);
    }, EVERY_MS);
  }

  #tell() {
    const at = this.#latest;
    this.#latest = null;
    const { lng, lat } = this.#map.containerPointToLatLng(at);
    this.#link.send("pointer", lng, lat);
    const quiet = this.#gestures.isHolding || this.#gestures.isDrawingLine || this.#map.dragging.moving();
    const near = quiet ? null : stretchUnder(this.#map, this.#plan, at);
    if (near !== null) this.#link.send("path_hovered", near.leg, near.t, near.place.lng, near.place.lat);
    else if (this.#isNear) this.#link.send("hover_left");
    this.#isNear = near !== null;
  }
}
