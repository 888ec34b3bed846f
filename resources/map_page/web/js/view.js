// The map itself, its stacking order, and what part of the world it shows.

const PANES = { layers: 410, rings: 420, highlight: 425, plan: 430, symbols: 440, handles: 450, grips: 455, labels: 460, hover: 470 };
const AROUND_PX = 24;
const MOVING_KEY = /^(Arrow|[-+=_])/; // other keys are the desk's, and leave the view as it is

export function createMap(element) {
  const map = L.map(element, {
    zoomControl: false,
    attributionControl: false,
    zoomSnap: 0.25,
    wheelPxPerZoomLevel: 110,
    minZoom: 3,
    maxZoom: 20,
    fadeAnimation: false,
    trackResize: false, // it would keep the middle, and all would move under the pointer
  });
  // Leaflet rounds to whole pixels here, which makes finely drawn arcs wavy.
  map.latLngToLayerPoint = (place) => map.project(L.latLng(place)).subtract(map.getPixelOrigin());
  for (const [name, level] of Object.entries(PANES)) map.createPane(name).style.zIndex = level;
  L.control.zoom({ position: "bottomright", zoomInTitle: "Zoom in (+)", zoomOutTitle: "Zoom out (-)" }).addTo(map);
  L.control.scale({ position: "bottomleft", maxWidth: 120 }).addTo(map);
  // What is under the pointer stays there when the map gets more or less room at its right or lower edge.
  new ResizeObserver(() => map.invalidateSize({ pan: false })).observe(element);
  map.setView([0, 0], 3);
  map.on("zoomstart", () => element.classList.add("zooming"));
  map.on("zoomend", () => element.classList.remove("zooming"));
  // The hatch of unknown ground lies still on the ground.
  map.on("move", () => {
    const { x, y } = L.DomUtil.getPosition(map.getPane("mapPane"));
    element.style.setProperty("--hatch-at", `${x}px ${y}px`);
  });
  return map;
}

export class View {
  #map;
  #wanted = null;

  constructor(map, link) {
    this.#map = map;
    const forget = () => { this.#wanted = null; };
    map.on("dragstart", forget);
    map.on("keydown", ({ originalEvent }) => { if (MOVING_KEY.test(originalEvent.key)) forget(); });
    for (const gesture of ["wheel", "mousedown"]) map.getContainer().addEventListener(gesture, forget, { passive: true });
    for (const button of document.querySelectorAll(".leaflet-control-zoom a")) button.addEventListener("click", forget);
    map.on("resize", () => this.#show());
    map.on("moveend", () => {
      const bounds = map.getBounds();
      link.send("view_changed", bounds.getWest(), bounds.getSouth(), bounds.getEast(), bounds.getNorth(), map.getZoom());
    });
  }

  fit(bounds) {
    this.#wanted = bounds;
    this.#show();
  }

  // Fit anew what is still wanted: the stamp has changed.
  fitAgain() {
    this.#show();
  }

  zoom(steps) {
    this.#wanted = null;
    this.#map.setZoom(this.#map.getZoom() + steps);
  }

  #show() {
    const size = this.#map.getSize();
    if (this.#wanted === null || size.x === 0 || size.y === 0) return;
    const [west, south, east, north] = this.#wanted;
    this.#map.fitBounds([[south, west], [north, east]], {
      animate: false, paddingTopLeft: [AROUND_PX, AROUND_PX + this.#underStamp(size)], paddingBottomRight: [AROUND_PX, AROUND_PX], maxZoom: 18,
    });
  }

  // On a narrow map the stamp goes over most of the upper edge: what is fitted begins under it.
  #underStamp(size) {
    const stamp = document.getElementById("notice");
    return 2 * stamp.offsetWidth > size.x ? stamp.offsetHeight : 0;
  }
}
