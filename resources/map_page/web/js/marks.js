// The marker shared with the profile, and the stretch a finding points at.

import { toLatLng } from "./lines.js";

export class HoverMarker {
  #map;
  #parts;

  constructor(map) {
    this.#map = map;
    const renderer = L.svg({ pane: "hover" });
    const part = (style) => L.circleMarker([0, 0], { pane: "hover", renderer, interactive: false, ...style });
    this.#parts = [
      part({ radius: 10, weight: 5, color: "#fbf9f3", opacity: 0.9, fill: false }),
      part({ radius: 10, weight: 2, color: "#1f2b2a", fill: false }),
      part({ radius: 2.5, weight: 0, fillColor: "#1f2b2a", fillOpacity: 1 }),
    ];
  }

  show(lonlat) {
    for (const part of this.#parts) {
      if (lonlat === null) part.remove();
      else part.setLatLng(toLatLng(lonlat)).addTo(this.#map);
    }
  }
}

export class Highlight {
  #map;
  #renderer;
  #line = null;

  constructor(map) {
    this.#map = map;
    this.#renderer = L.svg({ pane: "highlight", padding: 0.5 });
  }

  show(coords) {
    this.#line?.remove();
    this.#line = null;
    if (coords === null || coords.length === 0) return;
    // One place is a line of no length, whose round ends make a spot.
    const course = coords.length === 1 ? [coords[0], coords[0]] : coords;
    this.#line = L.polyline(course.map(toLatLng), {
      pane: "highlight", renderer: this.#renderer, interactive: false, smoothFactor: 0, className: "highlight-flash",
      color: "#e0a82e", weight: 26, opacity: 0.45, lineCap: "round", lineJoin: "round",
    }).addTo(this.#map);
  }
}
