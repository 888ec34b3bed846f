// Launch, landing and crew: our own shapes, told apart without colour.

const SVG = "http://www.w3.org/2000/svg";
const disc = (cls, r, cx = 0, cy = 0) => ["circle", { class: cls, cx, cy, r }];
const shape = (cls, d) => ["path", { class: cls, d }];
const haloed = (d, ...rest) => [shape("halo", d), shape("body", d), ...rest];

const SHAPES = {
  launch: haloed("M0-9 9 7H-9Z"),
  landing: haloed("M0 9 9-7H-9Z", shape("line", "M-9 11H9")),
  return_point: haloed("M0-10 9.5-3 6 8.5H-6L-9.5-3Z", shape("line", "M4 1H-4M-1-2-4 1-1 4")),
  both: haloed("M0-9 9 7H-9Z", shape("line", "M-9 11H9")),
  observer: [disc("halo", 9), disc("body", 8.5), disc("mark", 3.5)],
  pilot: [disc("halo", 9), disc("body", 8.5), shape("mark", "M0-8.5A8.5 8.5 0 0 1 0 8.5Z")],
  controls: [disc("halo", 9), disc("body", 8.5), shape("line", "M-4 0H4M0-4V4")],
  spectators: [disc("halo", 9), disc("body", 8.5), disc("mark", 2, -3.5, 2), disc("mark", 2, 3.5, 2), disc("mark", 2, 0, -3)],
  turn_back: [disc("halo", 9), disc("body", 8.5), shape("line", "M-3 5V-1A3 3 0 0 1 3-1V4M0.5 1.5 3 4.5 5.5 1.5")],
  lost: [shape("halo", "M0-9.5 9.5 0 0 9.5-9.5 0Z"), shape("body", "M0-9.5 9.5 0 0 9.5-9.5 0Z"), shape("line", "M-3-3 3 3M3-3-3 3")],
  ends: [disc("halo", 6), disc("body", 5.5), disc("mark", 2)],
  bail_out: [shape("halo", "M-8-8H8V8H-8Z"), shape("body", "M-8-8H8V8H-8Z"), shape("line", "M-4 4 4-4M-1-4H4V1")],
  asked: haloed("M-11 0H-4M4 0H11M0-11V-4M0 4V11"),
  turn: [disc("halo", 9), disc("body", 8.5), shape("line", "M-5 1.5A5 5 0 0 1 5 1.5M-7 -1 -5 2 -2.2 0.2M7 -1 5 2 2.2 0.2")],
  size: [disc("halo", 9), disc("body", 8.5), shape("line", "M-5 0H5M-2.5-2.5-5 0-2.5 2.5M2.5-2.5 5 0 2.5 2.5")],
  subject: [disc("halo", 5), disc("body", 4.5), shape("line", "M-2 0H2M0-2V2")],
  other: [disc("halo", 9), disc("body", 8.5)],
};

const ROLES = [["observer", "observer"], ["spectator", "spectators"], ["control", "controls"], ["pilot", "pilot"]];

export function shapeOfRole(role) {
  const words = String(role ?? "").toLowerCase();
  return ROLES.find(([word]) => words.includes(word))?.[1] ?? "other";
}

export class Symbols {
  #map;
  #pane;
  #markers = [];

  constructor(map, pane = "symbols") {
    this.#map = map;
    this.#pane = pane;
  }

  draw(symbols) {
    for (const marker of this.#markers.splice(symbols.length)) marker.remove();
    symbols.forEach((symbol, index) => this.#draw(symbol, index));
  }

  #draw({ shape: name, lonlat: [lon, lat], selected }, index) {
    const marker = this.#markers[index] ?? (this.#markers[index] = this.#newMarker());
    marker.setLatLng([lat, lon]);
    if (marker.shapeName !== name) {
      marker.shapeName = name;
      marker.getElement().replaceChildren(picture(name));
    }
    marker.getElement().classList.toggle("selected", selected);
  }

  #newMarker() {
    const icon = L.divIcon({ className: "plan-symbol", iconSize: null });
    return L.marker([0, 0], { icon, pane: this.#pane, interactive: false, keyboard: false }).addTo(this.#map);
  }
}

function picture(name) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", "-13 -13 26 26");
  for (const [tag, attributes] of SHAPES[name]) {
    const element = document.createElementNS(SVG, tag);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    svg.append(element);
  }
  return svg;
}
