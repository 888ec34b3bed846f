// The picture of the ground under everything else.

export class Base {
  #map;
  #overlay = null;

  constructor(map) {
    this.#map = map;
  }

  show(picture) {
    if (picture === null) {
      this.#overlay?.remove();
      this.#overlay = null;
      return;
    }
    const { png, bounds: [west, south, east, north] } = picture;
    const fresh = L.imageOverlay(`data:image/png;base64,${png}`, [[south, west], [north, east]], { pane: "tilePane" });
    const old = this.#overlay;
    if (old) fresh.once("load error", () => old.remove());
    this.#overlay = fresh.addTo(this.#map);
  }
}
