// Who and what is beneath, as the pilot drew it: people by dots, ground by lines, told apart without colour.

import { toLatLng } from "./lines.js";

const PEOPLE = { color: "#6e2212", weight: 2.5, dashArray: "0.1 6", lineCap: "round", fillColor: "#6e2212", fillOpacity: 0.12 };
const GROUND = { color: "#5d6460", weight: 2, fillColor: "#5d6460", fillOpacity: 0.14 };
const LOOKS = {
  crew: { ...PEOPLE, color: "#1d5c57", fillColor: "#1d5c57" },
  subject: PEOPLE,
  people: PEOPLE,
  gathering: { ...PEOPLE, fillOpacity: 0.25 },
  "spectator-line": { ...PEOPLE, weight: 4, dashArray: "0.1 7" },
  road: { ...GROUND, color: "#6b5b3a", weight: 5, opacity: 0.75, lineCap: "butt" },
  trail: { ...GROUND, color: "#6b5b3a", dashArray: "7 4", lineCap: "butt" },
  building: { ...GROUND, color: "#1f2b2a", fillColor: "#1f2b2a", fillOpacity: 0.35 },
  trees: { ...GROUND, color: "#4c6b45", dashArray: "3 3", fillColor: "#4c6b45", fillOpacity: 0.2 },
  "stand-area": { color: "#1d5c57", weight: 1.6, dashArray: "9 4", fillColor: "#1d5c57", fillOpacity: 0.07 },
  water: { ...GROUND, color: "#4f7d95", dashArray: "9 3 1 3", fillColor: "#4f7d95", fillOpacity: 0.2 },
};
const SPOT_PX = 6;

export class BeneathPicture {
  #map;
  #group;
  #renderer;
  #drawn = "[]";

  constructor(map) {
    this.#map = map;
    this.#renderer = L.svg({ pane: "plan", padding: 0.5 });
    this.#group = L.layerGroup([]).addTo(map);
  }

  draw(items) {
    const now = JSON.stringify(items);
    if (now === this.#drawn) return;
    this.#drawn = now;
    this.#group.clearLayers();
    for (const item of items) this.#group.addLayer(this.#shape(item));
  }

  #shape({ kind, as, coords }) {
    const places = coords.map(toLatLng);
    const look = { pane: "plan", renderer: this.#renderer, interactive: false, className: "beneath", ...(LOOKS[kind] ?? PEOPLE) };
    if (as === "spot") return L.circleMarker(places[0], { ...look, radius: SPOT_PX, fill: true });
    return as === "area" ? L.polygon(places, { ...look, fill: true }) : L.polyline(places, { ...look, fill: false });
  }
}
