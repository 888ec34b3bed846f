// Where to turn back, where losing the link is worst, and the way the aircraft then takes by itself.

import { Strokes, toLatLng } from "./lines.js";
import { Symbols } from "./symbols.js";

const WAY_STROKES = [
  { color: "#fbf9f3", weight: 6, opacity: 0.9 },
  { color: "#6e2212", weight: 2.2, dashArray: "2 5", lineCap: "butt" },
];

export class FlightMarks {
  #ways;
  #symbols;
  #spots = [];
  #courses = [];
  #labels;

  constructor(map, labels) {
    this.#labels = labels;
    this.#ways = new Strokes(map, "plan", L.svg({ pane: "plan", padding: 0.5 }), WAY_STROKES);
    this.#symbols = new Symbols(map);
    labels.provide("flight", (view) => this.#wishes(view));
    labels.avoid(() => this.#courses);
  }

  show({ spots, ways }) {
    this.#spots = spots;
    this.#courses = ways;
    this.#ways.follow(ways.map((way) => way.map(toLatLng)));
    this.#symbols.draw(spots.map(({ shape, lonlat }) => ({ shape, lonlat, selected: false })));
    this.#labels.refresh();
  }

  #wishes(view) {
    return this.#spots.filter(({ label }) => label !== "").map(({ label, lonlat, always }) => (
      { text: label, cls: "plan", priority: always ? 900 : 450, always, clear: true, radius: 14, at: view.pixel(lonlat), block: 12 }));
  }
}
