// Where one layer of the charts speaks: its outline, while somebody looks at the layer.

import { layerWishes } from "./layer_labels.js";

export class Outline {
  #map;
  #renderer;
  #drawn = null;
  #entry = null;

  constructor(map, labels) {
    this.#map = map;
    this.labels = labels;
    this.#renderer = L.svg({ pane: "rings", padding: 0.5 });
    labels.provide("outline", (view) => (this.#entry === null ? [] : layerWishes(this.#entry, view)));
  }

  show(payload) {
    this.#drawn?.remove();
    this.#drawn = null;
    this.#entry = null;
    if (payload !== null) {
      const { geojson, label } = payload;
      this.#drawn = L.geoJSON(geojson, {
        pane: "rings", renderer: this.#renderer, interactive: false, smoothFactor: 0.4,
        style: { color: "#1f2b2a", weight: 2.5, dashArray: "12 4", lineCap: "butt", fill: false },
      }).addTo(this.#map);
      const feature = { type: "Feature", geometry: geojson, properties: { label } };
      this.#entry = {
        id: "outline", rank: 80, style: { label_property: "label", label_at: "edge" },
        features: [feature], anchors: null,
      };
    }
    this.labels.refresh();
  }
}
