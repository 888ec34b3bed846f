// Places all words on the map so that none covers another; what finds no room is left out.

import { LabelRoom } from "./label_room.js";

const FAMILY = "system-ui, 'DejaVu Sans', sans-serif";
const SIZES_PX = { plan: 12, chart: 11.5, ring: 11, number: 11 };
const MOST_LABELS = 300;
const GRIP_HALF_PX = 15;

export class Labels {
  #map;
  #providers = new Map();
  #lines = [];
  #spots = () => [];
  #spans = [];
  #pending = false;
  #ruler = document.createElement("canvas").getContext("2d");
  #widths = new Map();
  #text = 1; // the size of text, of the usual one

  constructor(map) {
    this.#map = map;
    map.on("moveend", () => this.refresh());
  }

  // A provider gets the view and answers with wishes {text, cls, colour, priority, at | spots, radius, block, always,
  // clear, offPath}: what is always shown stands where it is least in the way; what is clear or off the path stands on
  // no line or nowhere, and what is clear may stand some lines farther off.
  provide(key, provider) {
    this.#providers.set(key, provider);
  }

  setText(share) {
    this.#text = share;
    this.#widths.clear();
    document.documentElement.style.setProperty("--text", String(share));
    this.refresh();
  }

  // Lines that words keep clear of, asked for at each placing.
  avoid(lines) {
    this.#lines.push(lines);
  }

  // Places of the container [px] that words never cover: what a hand takes hold of.
  keepFree(spots) {
    this.#spots = spots;
  }

  refresh() {
    if (this.#pending) return;
    this.#pending = true;
    requestAnimationFrame(() => {
      this.#pending = false;
      this.#place();
    });
  }

  #place() {
    const view = new LabelView(this.#map, this.#text);
    const lines = this.#lines.flatMap((asked) => asked()).map((line) => line.map((lonlat) => view.pixel(lonlat)));
    const room = new LabelRoom(view.size, lines, this.#text);
    for (const box of view.furniture()) room.blockBox(box);
    for (const spot of this.#spots()) room.block(spot, GRIP_HALF_PX);
    const wishes = [...this.#providers.values()].flatMap((provider) => provider(view));
    wishes.sort((a, b) => b.priority - a.priority);
    for (const wish of wishes) if (wish.block) room.block(wish.at, wish.block);
    const placed = [];
    for (const wish of wishes) {
      if (placed.length === MOST_LABELS) break;
      const corner = room.take(wish, this.#width(wish));
      if (corner !== null) placed.push([wish, corner]);
    }
    this.#show(placed);
  }

  #width({ text, cls }) {
    const key = `${cls} ${text}`;
    if (!this.#widths.has(key)) {
      this.#ruler.font = `${cls === "plan" ? 600 : 400} ${SIZES_PX[cls] * this.#text}px ${FAMILY}`;
      this.#widths.set(key, Math.ceil(this.#ruler.measureText(text).width));
    }
    return this.#widths.get(key);
  }

  #show(placed) {
    const pane = this.#map.getPane("labels");
    while (this.#spans.length < placed.length) {
      this.#spans.push(pane.appendChild(document.createElement("span")));
    }
    for (const span of this.#spans.splice(placed.length)) span.remove();
    placed.forEach(([wish, corner], index) => {
      const span = this.#spans[index];
      if (span.textContent !== wish.text) span.textContent = wish.text;
      span.className = `map-label ${wish.cls}`;
      span.style.color = wish.colour ?? "";
      L.DomUtil.setPosition(span, this.#map.containerPointToLayerPoint(corner).round());
    });
  }
}

class LabelView {
  #map;

  constructor(map, text) {
    this.#map = map;
    this.text = text;
    this.size = map.getSize();
    this.zoom = map.getZoom();
    this.bounds = map.getBounds();
  }

  // Boxes of the controls and the stamp, which lie over the map.
  furniture() {
    const frame = this.#map.getContainer().getBoundingClientRect();
    return Array.from(document.querySelectorAll(".leaflet-control, #notice:not([hidden])"), (element) => {
      const box = element.getBoundingClientRect();
      return [box.left - frame.left, box.top - frame.top, box.right - frame.left, box.bottom - frame.top];
    });
  }

  pixel([lon, lat]) {
    return this.#map.latLngToContainerPoint([lat, lon]);
  }

  shows({ x, y }) {
    return x >= 0 && y >= 0 && x <= this.size.x && y <= this.size.y;
  }
}
