import { createMap, View } from "./view.js";
import { Base } from "./base.js";
import { ChartLayers } from "./chart_layers.js";
import { Labels } from "./labels.js";
import { Rings } from "./rings.js";
import { LivePlan } from "./live_plan.js";
import { PlanPicture } from "./plan_picture.js";
import { HoverMarker, Highlight } from "./marks.js";
import { Outline } from "./outline.js";
import { FlightMarks } from "./flight_marks.js";
import { PlaceMark } from "./place_mark.js";
import { EditQueue } from "./edit_queue.js";
import { Gestures } from "./gestures.js";
import { Hover } from "./hover.js";
import { tellReleases } from "./releases.js";

export function start(link) {
  const map = createMap(document.getElementById("map"));
  const view = new View(map, link);
  const labels = new Labels(map);
  const base = new Base(map, 1);
  const closer = new Base(map, 2);
  const allowed = new Base(map, 3);
  const seen = new Base(map, 4);
  const layers = new ChartLayers(map, labels);
  const rings = new Rings(map, labels);
  const plan = new LivePlan();
  const picture = new PlanPicture(map, plan, labels);
  const edits = new EditQueue((kind, ...args) => link.send(kind, ...args), () => gestures.settle());
  const gestures = new Gestures(map, plan, picture, edits, link);
  labels.keepFree(() => gestures.gripSpots);
  tellReleases(link, edits);
  const hover = new Hover(map, plan, gestures, link);
  const marker = new HoverMarker(map);
  const highlight = new Highlight(map);
  const outline = new Outline(map, labels);
  const flight = new FlightMarks(map, labels);
  const asked = new PlaceMark(map, labels);

  link.serve({
    base: (payload) => base.show(payload),
    closer: (payload) => closer.show(payload),
    allowed: (payload) => allowed.show(payload),
    seen: (payload) => seen.show(payload),
    notice: (text) => { showNotice(text); view.fitAgain(); },
    layers: (list) => layers.replace(list),
    layer_visible: ({ id, visible }) => layers.setVisible(id, visible),
    plan: (payload) => { plan.receive(payload); picture.draw(); gestures.checkHeld(); },
    tool: (name) => { gestures.setTool(name); hover.leave(); },
    marker: (lonlat) => marker.show(lonlat),
    ring: () => gestures.takeRing(),
    fit: (bounds) => view.fit(bounds),
    // The browser goes on marking what had the focus when the desk's focus has gone elsewhere.
    focus: (here) => document.documentElement.classList.toggle("away", !here),
    zoom: (steps) => view.zoom(steps),
    highlight: (coords) => highlight.show(coords),
    outline: (payload) => outline.show(payload),
    flight: (payload) => flight.show(payload),
    asked: (place) => asked.show(place),
    text: (share) => labels.setText(share),
    rings: (list) => rings.replace(list),
    // The first frame draws it, at the second it has been shown.
    drawn: (number) => requestAnimationFrame(() => requestAnimationFrame(() => link.send("drawn", number))),
    acknowledge: () => edits.acknowledge(),
    locate: ({ number, lon, lat }) => {
      const point = map.latLngToContainerPoint([lat, lon]);
      link.send("located", number, point.x, point.y);
    },
  });
  link.send("page_ready");
}

function showNotice(text) {
  const stamp = document.getElementById("notice");
  stamp.textContent = text;
  stamp.hidden = text === "";
}
