// Advisory rings around aerodromes: dotted, and named as what they are not.

const NOT_A_RULE = "not a rule";
const LABEL_BEARINGS_DEG = [180, 0, 200, 160, 225, 135, 270, 90];

export class Rings {
  #map;
  #renderer;
  #circles = [];
  #list = [];

  constructor(map, labels) {
    this.#map = map;
    this.#renderer = L.svg({ pane: "rings", padding: 0.5 });
    this.labels = labels;
    labels.provide("rings", (view) => this.#list.flatMap((ring, index) => this.#wish(view, ring, index)));
  }

  replace(list) {
    for (const circle of this.#circles) circle.remove();
    this.#list = list;
    this.#circles = list.map(({ lon, lat, radius_m: radius }) => L.circle([lat, lon], {
      pane: "rings", renderer: this.#renderer, interactive: false, radius, fill: false,
      color: "#3f4644", weight: 1.75, opacity: 0.85, dashArray: "0.1 6", lineCap: "round",
    }).addTo(this.#map));
    this.labels.refresh();
  }

  #wish(view, { lon, lat, label }, index) {
    const centre = view.pixel([lon, lat]);
    const radius = view.pixel([this.#circles[index].getBounds().getEast(), lat]).x - centre.x;
    const text = label.includes(NOT_A_RULE) ? label : `${label} · ${NOT_A_RULE}`;
    if (radius < 30) return [];
    const spots = LABEL_BEARINGS_DEG.map((bearing) => {
      const angle = (bearing * Math.PI) / 180;
      const inner = radius - 12;
      return L.point(centre.x + inner * Math.sin(angle), centre.y - inner * Math.cos(angle));
    });
    return [{ text, cls: "ring", priority: 300, centred: true, offPath: true, spots: spots.filter((spot) => view.shows(spot)) }];
  }
}
