// What lies under the pointer: a point of the plan, the middle of an edge, or a stretch of the path.

import { edgeMiddles } from "./handles.js";
import { pointsWithRoom } from "./point_room.js";

const REACH_PX = { path: 11, area: 10, closure: 10, symbol: 14, middle: 9, line: 12 };

// The tool decides what can be taken hold of.
const GRABBABLE = {
  move: ["path", "closure", "area", "launch", "landing", "return_point", "crew"],
  path: ["path"], area: ["area"], closure: ["closure"], launch: ["launch"], landing: ["landing"], return_point: ["return_point"], crew: ["crew"],
};

export function pointUnder(map, plan, tool, at) {
  const found = [];
  for (const part of GRABBABLE[tool] ?? []) {
    for (const { index, lonlat } of points(map, plan, part)) {
      const distance = pixel(map, lonlat).distanceTo(at);
      const favour = plan.selected?.part === part && plan.selected.index === index ? 4 : 0;
      if (distance <= (REACH_PX[part] ?? REACH_PX.symbol)) found.push({ part, index, lonlat, distance: distance - favour });
    }
  }
  return nearest(found);
}

export function middleUnder(map, plan, at) {
  const found = [];
  for (const part of ["path", "closure", "area"]) {
    for (const middle of edgeMiddles(map, plan.line(part), part !== "path")) {
      const distance = pixel(map, middle.lonlat).distanceTo(at);
      if (distance <= REACH_PX.middle) found.push({ part, ...middle, distance });
    }
  }
  return nearest(found);
}

export function stretchUnder(map, plan, at) {
  const pixels = plan.line("path").map((lonlat) => pixel(map, lonlat));
  const found = [];
  for (let leg = 0; leg + 1 < pixels.length; leg++) {
    const [a, b] = [pixels[leg], pixels[leg + 1]];
    const along = b.subtract(a);
    const length2 = along.x ** 2 + along.y ** 2;
    const raw = length2 === 0 ? 0 : ((at.x - a.x) * along.x + (at.y - a.y) * along.y) / length2;
    const t = Math.min(1, Math.max(0, raw));
    const foot = a.add(along.multiplyBy(t));
    const distance = foot.distanceTo(at);
    if (distance <= REACH_PX.line) found.push({ leg, t, place: map.containerPointToLatLng(foot), distance });
  }
  return nearest(found);
}

// Only what is drawn can be taken hold of.
function points(map, plan, part) {
  if (part === "path" || part === "area" || part === "closure") return pointsWithRoom(map, plan, part);
  if (part === "crew") return plan.crew.map(({ lon, lat }, index) => ({ index, lonlat: [lon, lat] }));
  const place = plan.place(part);
  return place === null ? [] : [{ index: 0, lonlat: place }];
}

function pixel(map, [lon, lat]) {
  return map.latLngToContainerPoint([lat, lon]);
}

function nearest(found) {
  return found.reduce((best, one) => (best === null || one.distance < best.distance ? one : best), null);
}
