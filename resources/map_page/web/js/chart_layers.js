// Chart layers: one Leaflet layer an entry, all on one canvas, stacked by rank.

import { ShapeCloud, ShapeMarker } from "./shape_marker.js";
import { layerWishes } from "./layer_labels.js";

const MANY = 300; // from here on a layer of one kind of shape is drawn in one go

export class ChartLayers {
  #map;
  #labels;
  #renderer;
  #entries = []; // {id, rank, style, visible, features, drawn}

  constructor(map, labels) {
    this.#map = map;
    this.#labels = labels;
    this.#renderer = L.canvas({ pane: "layers", padding: 0.3 });
    labels.provide("layers", (view) => this.#entries.filter((entry) => entry.visible)
      .flatMap((entry) => layerWishes(entry, view)));
  }

  replace(list) {
    for (const { drawn } of this.#entries) drawn.remove();
    this.#entries = list.map((layer) => this.#entry(layer)).sort((a, b) => a.rank - b.rank);
    this.#showVisible();
  }

  setVisible(id, visible) {
    for (const entry of this.#entries) if (entry.id === id) entry.visible = visible;
    this.#showVisible();
  }

  // The canvas paints in the order of adding, so everything above a change is added again.
  #showVisible() {
    const wanted = this.#entries.filter((entry) => entry.visible);
    const shown = this.#entries.filter((entry) => this.#map.hasLayer(entry.drawn));
    const firstChange = wanted.findIndex((entry, place) => entry !== shown[place]);
    const kept = firstChange === -1 ? wanted.length : firstChange;
    for (const entry of shown.slice(kept)) entry.drawn.remove();
    for (const entry of wanted.slice(kept)) entry.drawn.addTo(this.#map);
    this.#labels.refresh();
  }

  #entry({ id, geojson, style = {}, visible = true, rank = 0 }) {
    const look = lineLook(style);
    const quiet = { ...look, weight: Math.min(look.weight, 1), opacity: 0.45, fill: false };
    const lookOf = (feature) => (feature.properties?.idle ? quiet : look);
    const common = { pane: "layers", renderer: this.#renderer, interactive: false };
    const drawn = L.featureGroup();
    if (style.halo) {
      drawn.addLayer(L.geoJSON(geojson, {
        style: { ...look, fill: false, dashArray: null, weight: look.weight + 8, opacity: 0.22 },
        filter: (feature) => feature.geometry?.type !== "Point" && !feature.properties?.idle, ...common,
      }));
    }
    const pointLook = { shape: style.marker ?? "dot", nearZoom: style.min_zoom ?? 0 };
    const atOnce = inOneGo(geojson.features ?? [], { ...common, ...look, ...pointLook });
    drawn.addLayer(atOnce ?? L.geoJSON(geojson, {
      ...common, style: lookOf,
      pointToLayer: (_, latlng) => new ShapeMarker(latlng, { ...common, ...look, shape: style.marker ?? "dot" }),
    }));
    return { id, rank, style, visible, drawn, features: geojson.features ?? [], anchors: null };
  }
}

// One Leaflet layer for thousands of points or of areas that don't overlap; null where they differ.
function inOneGo(features, options) {
  if (features.length < MANY || features.some(({ properties }) => properties?.idle)) return null;
  const geometries = features.map(({ geometry }) => geometry);
  if (geometries.every((geometry) => geometry?.type === "Point")) {
    return new ShapeCloud(geometries.map(({ coordinates: [lon, lat] }) => L.latLng(lat, lon)), options);
  }
  if (!geometries.every((geometry) => geometry?.type === "Polygon" && geometry.coordinates.length === 1)) return null;
  return L.polygon(geometries.map(({ coordinates }) => [coordinates[0].map(([lon, lat]) => [lat, lon])]), options);
}

function lineLook({ stroke = "#1f2b2a", width = 1.5, dash = null, fill = null, fill_opacity: fillOpacity = 0.1 }) {
  return {
    color: stroke, weight: width, opacity: 1, dashArray: dash, lineCap: dash ? "butt" : "round", stroke: width > 0,
    fill: fill !== null, fillColor: fill ?? stroke, fillOpacity, smoothFactor: 0.4,
  };
}
