// A fixed stack of strokes whose course changes often: made once, moved ever after.

export class Strokes {
  #lines;

  constructor(map, pane, renderer, styles) {
    this.#lines = styles.map((style) => L.polyline([], {
      pane, renderer, interactive: false, smoothFactor: 0, noClip: true, ...style,
    }).addTo(map));
  }

  // Each course is a list of [lat, lng] or LatLng.
  follow(courses) {
    for (const line of this.#lines) line.setLatLngs(courses);
  }
}

export const toLatLng = ([lon, lat]) => [lat, lon];
