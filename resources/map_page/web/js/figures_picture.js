// Figures flown on the path: a fine line on both sides of it, their name at the entry, the way out as a symbol.

import { toLatLng } from "./lines.js";
import { Symbols } from "./symbols.js";

const BESIDE = [
  { color: "#1f2b2a", weight: 19, lineCap: "butt", lineJoin: "round" },
  { color: "#fbf9f3", weight: 16, lineCap: "butt", lineJoin: "round" },
];
const WAY_OUT = [{ color: "#1f2b2a", weight: 1.3, dashArray: "2 5", lineCap: "butt", opacity: 0.8 }];

export class FiguresPicture {
  #plan;
  #beside;
  #waysOut;
  #symbols;

  constructor(map, plan, strokes) {
    this.#plan = plan;
    this.#beside = strokes(BESIDE);
    this.#waysOut = strokes(WAY_OUT);
    this.#symbols = new Symbols(map);
  }

  draw() {
    const figures = this.#plan.figures;
    this.#beside.follow(figures.map(({ course }) => course.map(toLatLng)));
    const out = figures.filter(({ bail_out }) => bail_out !== null);
    this.#waysOut.follow(out.map(({ course, bail_out }) => [course.at(-1), bail_out].map(toLatLng)));
    const subjects = figures.filter(({ subject }) => subject !== null);
    this.#symbols.draw([
      ...out.map(({ bail_out }) => ({ shape: "bail_out", lonlat: bail_out, selected: false })),
      ...subjects.map(({ subject }) => ({ shape: "subject", lonlat: subject, selected: false })),
    ]);
  }

  wishes(view) {
    return this.#plan.figures.flatMap(({ course, label, bail_out }) => [
      { text: label, cls: "plan", priority: 700, always: true, radius: 16, at: view.pixel(course[0]), block: 12 },
      ...(bail_out === null ? [] : [
        { text: `bail-out of ${label}`, cls: "chart", priority: 440, radius: 14, at: view.pixel(bail_out), block: 12 },
      ]),
    ]);
  }
}
