// The ring about points that are chosen together, with a grip that turns them and one that scales: at its north
// and its east, or where they are in view and cover no point and no sign.

import { Strokes } from "./lines.js";
import { Symbols } from "./symbols.js";

const BESIDE_PX = 28; // from the farthest point to the ring
const LEAST_PX = 46;
const FROM_EDGE_PX = 34;
const REACH_PX = 14;
const EVERY_DEG = 4;
const TURN_AT_DEG = [0, 20, -20, 40, -40, 180, 200, 160];
const SIZE_AT_DEG = [90, 70, 110, 270, 250, 290, 130, 230];
const STILL = { turn: 0, scale: 1 };
const DOTTED = { color: "#1f2b2a", weight: 1.6, dashArray: "0.1 6", opacity: 0.9 };
const STROKES = [{ color: "#fbf9f3", weight: 4, opacity: 0.7 }, DOTTED];
const TAKEN_STROKES = [{ color: "#fbf9f3", weight: 5, opacity: 0.8 }, { ...DOTTED, weight: 2.4, dashArray: null }];

export class TurnRing {
  #map;
  #plan;
  #faint;
  #strong;
  #symbols;
  #ring = null; // {middle [lon, lat], radius [px] at zoom, turnAt, sizeAt [deg]}
  isOpen = true; // whether what is chosen may be turned now at all
  isTaken = false; // by the hand or by keys

  constructor(map, plan) {
    this.#map = map;
    this.#plan = plan;
    const renderer = L.svg({ pane: "handles", padding: 0.5 });
    this.#faint = new Strokes(map, "handles", renderer, STROKES);
    this.#strong = new Strokes(map, "handles", renderer, TAKEN_STROKES);
    this.#symbols = new Symbols(map, "grips");
    map.on("moveend", () => this.draw());
  }

  get isShown() {
    return this.#ring !== null;
  }

  get gripSpots() {
    return this.#ring === null ? [] : Object.values(this.#grips());
  }

  get middle() {
    return this.#ring === null ? null : this.#pixel(this.#ring.middle);
  }

  // Which grip is under a place of the container: "turn", "scale" or null.
  gripUnder(at) {
    if (this.#ring === null) return null;
    const { turn, scale } = this.#grips();
    const near = [["turn", turn.distanceTo(at)], ["scale", scale.distanceTo(at)]].sort((a, b) => a[1] - b[1]);
    return near[0][1] <= REACH_PX ? near[0][0] : null;
  }

  get radius() {
    return this.#ring.radius * this.#map.getZoomScale(this.#map.getZoom(), this.#ring.zoom);
  }

  // While it is taken the ring keeps its middle and its size, and the grips go with the points.
  draw() {
    if (!this.isTaken || this.#ring === null) this.#ring = this.isOpen ? this.#about() : null;
    if (this.#ring === null) {
      for (const strokes of [this.#faint, this.#strong]) strokes.follow([]);
      this.#symbols.draw([]);
      return;
    }
    const course = this.#circle();
    const { turn, scale } = this.#grips();
    const courses = this.isTaken ? [course, [this.middle, turn].map((at) => this.#place(at))] : [course];
    this.#faint.follow(this.isTaken ? [] : courses);
    this.#strong.follow(this.isTaken ? courses : []);
    this.#symbols.draw([["turn", turn], ["size", scale]].map(([shape, at]) => {
      const { lng, lat } = this.#place(at);
      return { shape, lonlat: [lng, lat], selected: this.isTaken };
    }));
  }

  #about() {
    const chosen = this.#plan.chosenTogether;
    if (chosen.length < 2) return null;
    const pixels = chosen.map((lonlat) => this.#pixel(lonlat));
    const middle = L.bounds(pixels).getCenter();
    const size = this.#map.getSize();
    if (!L.bounds([0, 0], size).contains(middle)) return null;
    const farthest = Math.max(...pixels.map((pixel) => pixel.distanceTo(middle)));
    const room = Math.min(Math.max(middle.y, size.y - middle.y), Math.max(middle.x, size.x - middle.x)) - FROM_EDGE_PX;
    const radius = Math.max(LEAST_PX, Math.min(farthest + BESIDE_PX, room));
    const { lng, lat } = this.#place(middle);
    const free = (bearings) => this.#free(bearings, middle, radius, size);
    const [turnAt, sizeAt] = [free(TURN_AT_DEG), free(SIZE_AT_DEG)];
    return { middle: [lng, lat], radius, turnAt, sizeAt, zoom: this.#map.getZoom() };
  }

  // The first bearing at which a grip is in view and off all points and signs; else one that is in view.
  #free(bearings, middle, radius, size) {
    const inner = L.bounds([FROM_EDGE_PX / 2, FROM_EDGE_PX / 2], [size.x - FROM_EDGE_PX / 2, size.y - FROM_EDGE_PX / 2]);
    const inView = bearings.filter((bearing) => inner.contains(around(middle, bearing, radius)));
    const taken = [...this.#plan.line("path"), ...this.#plan.signs].map((lonlat) => this.#pixel(lonlat));
    const isOff = (at) => taken.every((pixel) => pixel.distanceTo(at) > 2 * REACH_PX);
    return inView.find((bearing) => isOff(around(middle, bearing, radius))) ?? inView[0] ?? bearings[0];
  }

  #grips() {
    const { turn, scale } = this.#plan.reshaped ?? STILL;
    const { radius } = this;
    const { turnAt, sizeAt } = this.#ring;
    return { turn: this.#at(turnAt + turn, radius), scale: this.#at(sizeAt + turn, Math.max(radius * scale, 1)) };
  }

  #circle() {
    const bearings = Array.from({ length: 360 / EVERY_DEG + 1 }, (_, step) => step * EVERY_DEG);
    return bearings.map((bearing) => this.#place(this.#at(bearing, this.radius)));
  }

  #at(bearing, radius) {
    return around(this.middle, bearing, radius);
  }

  #pixel([lon, lat]) {
    return this.#map.latLngToContainerPoint([lat, lon]);
  }

  #place(at) {
    return this.#map.containerPointToLatLng(at);
  }
}

function around(middle, bearing, radius) {
  const angle = (bearing * Math.PI) / 180;
  return middle.add([radius * Math.sin(angle), -radius * Math.cos(angle)]);
}
