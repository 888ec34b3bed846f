// What the pilot's hand and keys mean: taking hold of points, setting points, choosing, deleting.

import { middleUnder, pointUnder } from "./hit_test.js";
import { Drag } from "./drag.js";
import { MiddleCross } from "./middle_cross.js";
import { TurnHand } from "./turn_hand.js";
import { TurnRing } from "./turn_ring.js";

const LINE_TOOLS = ["path", "area", "closure"];
const PLACING_TOOLS = ["launch", "landing", "return_point", "crew"];
const CLOSED = ["area", "closure"];
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const [STEP_PX, FINE_PX] = [80, 8];

export class Gestures {
  #map;
  #plan;
  #picture;
  #link;
  #drag;
  #cross;
  #ring;
  #turn;
  #tool = "move";
  #swallowClick = false;

  constructor(map, plan, picture, edits, link) {
    this.#map = map;
    this.#plan = plan;
    this.#picture = picture;
    this.#link = link;
    this.#drag = new Drag(map, plan, picture, edits);
    this.#cross = new MiddleCross(map);
    this.#ring = new TurnRing(map, plan);
    this.#turn = new TurnHand(map, plan, picture, this.#ring, edits);
    picture.onDrawn = () => this.#drawRing();
    const element = map.getContainer();
    element.addEventListener("mousedown", (event) => this.#onPress(event), true);
    element.addEventListener("click", (event) => this.#onRawClick(event), true);
    element.addEventListener("contextmenu", (event) => event.preventDefault(), true);
    element.addEventListener("mousemove", (event) => this.#onPointer(event));
    element.addEventListener("mouseleave", () => this.#picture.stretch([]));
    map.on("click", (event) => this.#onClick(event));
    map.on("dblclick", () => this.#finish());
    window.addEventListener("keydown", (event) => this.#onKey(event), true);
    this.setTool("move");
  }

  get isHolding() {
    return this.#drag.isActive || this.#turn.isActive;
  }

  get gripSpots() {
    return this.#ring.gripSpots;
  }

  get isDrawingLine() {
    return LINE_TOOLS.includes(this.#tool);
  }

  setTool(name) {
    this.#tool = name;
    this.#turn.abandon();
    const drawing = name !== "move";
    this.#cross.hide();
    this.#map.getContainer().classList.toggle("drawing", drawing);
    this.#map.doubleClickZoom[drawing ? "disable" : "enable"]();
    this.#picture.withMiddles = !drawing;
    this.#picture.areaIsOpen = name === "area";
    this.#picture.closureIsOpen = name === "closure";
    this.#picture.stretch([]);
    this.#picture.draw();
  }

  // The desk has dealt with all that was reported: from here on its plan alone is drawn.
  settle() {
    if (this.isHolding) return;
    this.#plan.release();
    this.#picture.draw();
  }

  // The desk's plan may have lost the point under the hand.
  checkHeld() {
    if (this.#drag.isLost) this.#drag.drop();
    this.#turn.dropIfLost();
  }

  // Let arrow keys turn and scale what is chosen.
  takeRing() {
    this.#turn.take();
  }

  #drawRing() {
    this.#ring.isOpen = this.#tool === "move" && !this.#drag.isActive;
    this.#turn.draw();
  }

  #onPress(event) {
    if (event.button !== 0 || isControl(event)) return;
    this.#swallowClick = false;
    const at = this.#map.mouseEventToContainerPoint(event);
    if (this.#turn.press(at)) {
      event.stopPropagation();
      event.preventDefault();
      this.#map.getContainer().focus({ preventScroll: true });
      this.#swallowClick = true;
      return;
    }
    const choosing = event.ctrlKey || event.shiftKey;
    // With Ctrl or Shift points are chosen; a tool that sets down one thing sets none.
    if (choosing && PLACING_TOOLS.includes(this.#tool)) {
      this.#swallowClick = true;
      const chosen = pointUnder(this.#map, this.#plan, "path", at);
      if (chosen === null) return;
      event.stopPropagation();
      event.preventDefault();
      this.#link.send("vertex_toggled", chosen.part, chosen.index);
      return;
    }
    const point = pointUnder(this.#map, this.#plan, this.#tool, at);
    const middle = point === null && this.#tool === "move" ? middleUnder(this.#map, this.#plan, at) : null;
    if (point === null && middle === null) return;
    event.stopPropagation();
    event.preventDefault();
    this.#map.getContainer().focus({ preventScroll: true });
    this.#swallowClick = true;
    if (point !== null && !this.isDrawingLine && choosing) {
      this.#link.send("vertex_toggled", point.part, point.index);
      return;
    }
    // One of several chosen points stays with them, so that they move together; let go in place it is alone.
    const together = point !== null && !this.isDrawingLine && this.#plan.isOneOfSeveral(point.part, point.index);
    if (point !== null && !this.isDrawingLine && !together) this.#select(point.part, point.index);
    this.#drag.begin(at, point, middle, (moved) => {
      if (!moved && point !== null && this.isDrawingLine) this.#setOnPoint(point, event);
      if (!moved && together) this.#select(point.part, point.index);
      if (!moved && point !== null && this.#tool === "crew") this.#setBeside(at, event);
    });
  }

  #onRawClick(event) {
    if (!this.#swallowClick) return;
    this.#swallowClick = false;
    event.stopPropagation();
  }

  #onClick({ latlng, originalEvent }) {
    if (originalEvent.detail > 1) return; // the second half of a double click sets no point of its own
    const { lng, lat } = latlng;
    if (this.#tool !== "move") {
      this.#link.send("clicked", this.#tool, lng, lat);
      return;
    }
    if (this.#plan.selected !== null) this.#select("", -1);
    this.#link.send("probed", lng, lat);
  }

  // A click on a point that is there already: closes the area, or leads the path over the same place again.
  #setOnPoint({ part, index, lonlat }, { detail }) {
    if (detail > 1) return;
    if (CLOSED.includes(part) && index === 0) {
      if (part === "closure" && this.#plan.closureIsLine) this.#link.send("clicked", this.#tool, ...lonlat);
      this.#finish();
    }
    else if (part === "path" && index !== this.#plan.line("path").length - 1) this.#link.send("clicked", part, ...lonlat);
  }

  // Whoever is placed may stand right beside somebody: a click on them sets another one, only a pull moves them.
  #setBeside(at, { detail }) {
    if (detail === 1) this.#link.send("clicked", "crew", ...lonlatAt(this.#map, at));
  }

  #onPointer(event) {
    this.#cross.hide();
    if (this.isHolding) return;
    const at = this.#map.mouseEventToContainerPoint(event);
    const point = pointUnder(this.#map, this.#plan, this.#tool, at);
    const isOver = this.#turn.hover(at) || point !== null || (this.#tool === "move" && middleUnder(this.#map, this.#plan, at) !== null);
    this.#map.getContainer().classList.toggle("over-handle", isOver && !isControl(event));
    if (this.isDrawingLine) this.#stretchTo(point?.lonlat ?? lonlatAt(this.#map, at));
  }

  #stretchTo(lonlat) {
    const coords = this.#plan.line(this.#tool);
    if (coords.length === 0) return;
    const courses = [[coords.at(-1), lonlat]];
    const closes = CLOSED.includes(this.#tool) && !(this.#tool === "closure" && this.#plan.closureIsLine);
    if (closes && coords.length > 1) courses.push([lonlat, coords[0]]);
    this.#picture.stretch(courses);
  }

  #onKey(event) {
    if (this.#turn.key(event)) return;
    const drawing = this.#tool !== "move" && !isControl(event);
    if (drawing && event.key in ARROWS) {
      this.#cross.show();
      this.#map.panBy(ARROWS[event.key].map((way) => way * (event.shiftKey ? FINE_PX : STEP_PX)));
      event.preventDefault();
      event.stopPropagation();
      return;
    }
    const places = event.key === " " || (event.key === "Enter" && !this.isDrawingLine);
    if (drawing && places) {
      // Where the cross was not in view nobody has seen what it stands on: then the key shows it, and sets nothing.
      if (this.#cross.isShown) this.#link.send("clicked", this.#tool, ...this.#cross.lonlat);
      this.#cross.show();
      event.preventDefault();
      return;
    }
    if (event.key === "Escape") {
      this.#drag.abandon();
      this.#picture.stretch([]);
      this.#link.send("cancelled");
    } else if (event.key === "Enter" && !isControl(event)) {
      this.#finish();
    } else if (event.key === "Delete" || event.key === "Backspace") {
      this.#deleteChosen();
    } else {
      return;
    }
    event.preventDefault();
  }

  #deleteChosen() {
    if (this.isHolding) return;
    const last = this.isDrawingLine ? { part: this.#tool, index: this.#plan.line(this.#tool).length - 1 } : null;
    const chosen = last ?? this.#plan.selected;
    if (!last && chosen && this.#plan.isOneOfSeveral(chosen.part, chosen.index)) {
      this.#link.send("chosen_deleted");
      return;
    }
    if (chosen && chosen.index >= 0) this.#link.send("vertex_deleted", chosen.part, chosen.index);
  }

  #finish() {
    if (!this.isDrawingLine) return;
    this.#picture.stretch([]);
    this.#link.send("finished", this.#tool);
  }

  #select(part, index) {
    this.#plan.selected = part === "" ? null : { part, index };
    this.#picture.draw();
    this.#link.send("vertex_selected", part, index);
  }
}

function lonlatAt(map, at) {
  const { lng, lat } = map.containerPointToLatLng(at);
  return [lng, lat];
}

function isControl(event) {
  return event.target instanceof Element && event.target.closest(".leaflet-control") !== null;
}
