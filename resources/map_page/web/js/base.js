// Pictures of the ground under everything else; a higher rank lies on top.

export class Base {
  #map;
  #rank;
  #overlay = null;

  constructor(map, rank) {
    this.#map = map;
    this.#rank = rank;
  }

  show(picture) {
    if (picture === null) {
      this.#overlay?.remove();
      this.#overlay = null;
      return;
    }
    const { png, bounds: [west, south, east, north] } = picture;
    const corners = [[south, west], [north, east]];
    const fresh = L.imageOverlay(`data:image/png;base64,${png}`, corners, { pane: "tilePane", zIndex: this.#rank });
    const old = this.#overlay;
    if (old) fresh.once("load error", () => old.remove());
    this.#overlay = fresh.addTo(this.#map);
  }
}
