// A cross in the middle of the map, for hands that draw by keys: it shows while keys move the map, not the mouse.

export class MiddleCross {
  #map;
  #cross;

  constructor(map) {
    this.#map = map;
    this.#cross = document.createElement("div");
    this.#cross.className = "middle-cross";
    this.#cross.hidden = true;
    map.getContainer().append(this.#cross);
  }

  get isShown() {
    return !this.#cross.hidden;
  }

  show() {
    this.#cross.hidden = false;
  }

  hide() {
    this.#cross.hidden = true;
  }

  get lonlat() {
    const { lng, lat } = this.#map.getCenter();
    return [lng, lat];
  }
}
