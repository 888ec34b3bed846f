// Draws the live plan: area, restriction in hand, path with its marks, handles, symbols and their labels.

import { Strokes, toLatLng } from "./lines.js";
import { AREA_FILL, AREA_STROKES, CHEVRON_STROKES, CLOSED, CLOSURE_STROKES, IDLE, MARK_STROKES, PATH_STROKES, RUBBER_STROKE } from "./path_style.js";
import { chevrons } from "./chevrons.js";
import { BeneathPicture } from "./beneath_picture.js";
import { FiguresPicture } from "./figures_picture.js";
import { pointsWithRoom } from "./point_room.js";
import { Handles } from "./handles.js";
import { Symbols, shapeOfRole } from "./symbols.js";

const ONE_SPOT_PX = 16;
const MARK_ORDER = ["clear", "brief", "act", "unknown", "stop"];

export class PlanPicture {
  #map;
  #plan;
  #labels;
  #beneath;
  #areaFill;
  #areaEdge;
  #closed;
  #idle;
  #closureEdge;
  #figures;
  #path;
  #marks = {};
  #chevrons;
  #rubber;
  #handles;
  #symbols;
  onDrawn = () => {}; // after each drawing
  withMiddles = true;
  areaIsOpen = false; // while it is drawn, the rubber band closes it
  closureIsOpen = false;

  constructor(map, plan, labels) {
    this.#map = map;
    this.#plan = plan;
    this.#labels = labels;
    const renderer = L.svg({ pane: "plan", padding: 0.5 });
    const strokes = (styles) => new Strokes(map, "plan", renderer, styles);
    this.#beneath = new BeneathPicture(map);
    this.#areaFill = L.polygon([], { pane: "plan", renderer, interactive: false, smoothFactor: 0, ...AREA_FILL }).addTo(map);
    this.#areaEdge = strokes(AREA_STROKES);
    const closed = (look) => L.polygon([], { pane: "plan", renderer, interactive: false, ...look }).addTo(map);
    this.#closed = closed(CLOSED);
    this.#idle = closed(IDLE);
    this.#closureEdge = strokes(CLOSURE_STROKES);
    this.#figures = new FiguresPicture(map, plan, strokes);
    this.#path = strokes(PATH_STROKES);
    for (const mark of MARK_ORDER) this.#marks[mark] = strokes(MARK_STROKES[mark]);
    this.#chevrons = strokes(CHEVRON_STROKES);
    this.#rubber = strokes([RUBBER_STROKE]);
    this.#handles = new Handles(map, L.svg({ pane: "handles", padding: 0.5 }));
    this.#symbols = new Symbols(map);
    map.on("moveend", () => this.#drawScaleDependent());
    labels.provide("plan", (view) => this.#labelWishes(view));
    labels.avoid(() => [this.#plan.line("path")]);
  }

  draw() {
    const path = this.#plan.line("path").map(toLatLng);
    const area = this.#plan.line("area").map(toLatLng);
    this.#areaFill.setLatLngs(area);
    this.#beneath.draw(this.#plan.beneath);
    for (const idle of [false, true]) {
      const shown = this.#plan.closures.filter((closure) => closure.idle === idle);
      (idle ? this.#idle : this.#closed).setLatLngs(shown.map(({ coords }) => [coords.map(toLatLng)]));
    }
    this.#areaEdge.follow(this.areaIsOpen || area.length < 3 ? area : [...area, area[0]]);
    const closure = this.#plan.line("closure").map(toLatLng);
    this.#closureEdge.follow(this.closureIsOpen || this.#plan.closureIsLine || closure.length < 3 ? closure : [...closure, closure[0]]);
    this.#figures.draw();
    this.#path.follow(path);
    const courses = Object.fromEntries(MARK_ORDER.map((mark) => [mark, []]));
    for (const piece of this.#plan.marks) (courses[piece.mark] ?? courses.unknown).push(piece.coords.map(toLatLng));
    for (const mark of MARK_ORDER) this.#marks[mark].follow(courses[mark]);
    this.#symbols.draw(this.#symbolList());
    this.#drawScaleDependent();
    this.onDrawn();
    this.#labels.refresh();
  }

  stretch(courses) {
    this.#rubber.follow(courses.map((course) => course.map(toLatLng)));
  }

  #drawScaleDependent() {
    this.#chevrons.follow(chevrons(this.#map, this.#plan.line("path")));
    this.#handles.draw(this.#plan, this.withMiddles);
  }

  #symbolList() {
    const [launch, landing] = [this.#plan.place("launch"), this.#plan.place("landing")];
    const selected = (part, index = 0) => this.#plan.selected?.part === part && this.#plan.selected.index === index;
    const list = this.#plan.crew.map(({ role, lon, lat }, index) => (
      { shape: shapeOfRole(role), lonlat: [lon, lat], selected: selected("crew", index) }));
    const together = this.#together(launch, landing);
    const returnPoint = this.#plan.place("return_point");
    if (returnPoint) list.push({ shape: "return_point", lonlat: returnPoint, selected: selected("return_point") });
    if (landing && !together) list.push({ shape: "landing", lonlat: landing, selected: selected("landing") });
    if (launch) list.push({ shape: together ? "both" : "launch", lonlat: launch, selected: selected("launch") });
    return list;
  }

  #together(launch, landing) {
    if (!launch || !landing) return false;
    return this.#map.latLngToLayerPoint(toLatLng(launch)).distanceTo(this.#map.latLngToLayerPoint(toLatLng(landing))) < 4;
  }

  // Who stands where the aircraft starts shares one label with it: labels of one spot would cover each other.
  #gathered(view) {
    const [launch, landing] = [this.#plan.place("launch"), this.#plan.place("landing")];
    const together = this.#together(launch, landing);
    const spots = [];
    if (launch) spots.push([together ? "launch and landing" : "launch", launch]);
    if (landing && !together) spots.push(["landing", landing]);
    if (this.#plan.place("return_point")) spots.push(["return", this.#plan.place("return_point")]);
    this.#plan.crew.forEach(({ label, lon, lat }) => spots.push([label, [lon, lat]]));
    const groups = [];
    spots.forEach(([text, lonlat]) => {
      const at = view.pixel(lonlat);
      const near = groups.find((group) => group.at.distanceTo(at) < ONE_SPOT_PX);
      if (near) near.texts.push(text);
      else groups.push({ texts: [text], lonlat, at });
    });
    return groups;
  }

  #labelWishes(view) {
    const wish = (text, lonlat, priority) => (
      { text, cls: "plan", priority, always: true, radius: 15, at: view.pixel(lonlat), block: 12 });
    const wishes = this.#gathered(view).map(({ texts, lonlat }, rank) => wish(texts.join(" · "), lonlat, 1000 - rank));
    for (const { index, lonlat, small } of pointsWithRoom(this.#map, this.#plan, "path")) {
      wishes.push({ text: String(index + 1), cls: "number", priority: 500, radius: 9, at: view.pixel(lonlat), block: small ? 3 : 7 });
    }
    for (const { coords, label } of this.#plan.closures.filter(({ idle }) => !idle)) {
      const north = coords.reduce((best, lonlat) => (lonlat[1] > best[1] ? lonlat : best));
      wishes.push({ text: label, cls: "chart", priority: 400, radius: 10, at: view.pixel(north) });
    }
    for (const { coords, label } of this.#plan.beneath) {
      const middle = coords[Math.floor(coords.length / 2)];
      wishes.push({ text: label, cls: "chart", priority: 380, radius: 9, at: view.pixel(middle), block: 6 });
    }
    wishes.push(...this.#figures.wishes(view));
    return wishes;
  }
}
