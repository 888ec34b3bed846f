// Discs at the points of path, area and temporary restriction, faint ones at the middle of their edges.

import { pointsWithRoom } from "./point_room.js";

const PARTS = ["closure", "area", "path"];
const SHORTEST_EDGE_PX = 40;
const VERTEX = { fillColor: "#fffdf8", fillOpacity: 1, opacity: 1 };
const LOOKS = {
  path: { ...VERTEX, radius: 4.5, weight: 2, color: "#1f2b2a" },
  first: { ...VERTEX, radius: 6.5, weight: 2.5, color: "#1f2b2a" },
  area: { ...VERTEX, radius: 3.5, weight: 1.5, color: "#1d5c57" },
  closure: { ...VERTEX, radius: 4.5, weight: 2, color: "#6e2212" },
  selected: { ...VERTEX, radius: 7.5, weight: 2.5, color: "#fffdf8", fillColor: "#1f2b2a" },
  small: { ...VERTEX, radius: 2.2, weight: 1, color: "#1f2b2a" },
  middle: { ...VERTEX, radius: 3, weight: 1, color: "#1f2b2a", opacity: 0.45, fillOpacity: 0.55 },
};

export class Handles {
  #map;
  #renderer;
  #discs = [];
  #used = 0;

  constructor(map, renderer) {
    this.#map = map;
    this.#renderer = renderer;
  }

  draw(plan, withMiddles) {
    this.#used = 0;
    if (withMiddles) for (const part of PARTS) this.#middles(plan.line(part), part !== "path");
    const chosen = [];
    for (const part of PARTS) {
      for (const { index, lonlat, small } of pointsWithRoom(this.#map, plan, part)) {
        if (plan.isChosen(part, index)) chosen.push(lonlat);
        else if (part === "path" && index === 0) this.#disc(lonlat, LOOKS.first);
        else this.#disc(lonlat, small ? LOOKS.small : LOOKS[part]);
      }
    }
    for (const lonlat of chosen) this.#disc(lonlat, LOOKS.selected);
    for (const disc of this.#discs.splice(this.#used)) disc.remove();
  }

  #middles(coords, closed) {
    for (const { lonlat } of edgeMiddles(this.#map, coords, closed)) this.#disc(lonlat, LOOKS.middle);
  }

  #disc([lon, lat], look) {
    const disc = this.#discs[this.#used] ?? this.#newDisc();
    this.#used += 1;
    if (!disc.getLatLng().equals([lat, lon], 0)) disc.setLatLng([lat, lon]);
    if (disc.look !== look) {
      disc.look = look;
      disc.setStyle(look);
      disc.setRadius(look.radius);
    }
  }

  #newDisc() {
    const disc = L.circleMarker([0, 0], { pane: "handles", renderer: this.#renderer, interactive: false });
    this.#discs.push(disc.addTo(this.#map));
    return disc;
  }
}

export function edgeMiddles(map, coords, closed) {
  const middles = [];
  const edges = closed && coords.length > 2 ? coords.length : coords.length - 1;
  for (let index = 0; index < edges; index++) {
    const [a, b] = [coords[index], coords[(index + 1) % coords.length]];
    const [p, q] = [a, b].map(([lon, lat]) => map.latLngToLayerPoint([lat, lon]));
    if (p.distanceTo(q) < SHORTEST_EDGE_PX) continue;
    const { lat, lng } = map.layerPointToLatLng(p.add(q).divideBy(2));
    middles.push({ after: index, lonlat: [lng, lat] });
  }
  return middles;
}
