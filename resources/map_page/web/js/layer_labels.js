// Which words a chart layer would like to show in the present view, and where.

const LETTER_PX = 6.4; // roughly; the exact width is measured when the label is placed
const LINE_PX = 14;
const INSETS_PX = [16, 28, 44, 64, 90];

export function layerWishes(entry, view) {
  const { style, features, rank } = entry;
  if (!style.label_property || view.zoom < (style.min_zoom ?? 0)) return [];
  entry.anchors ??= features.map((feature) => anchor(feature, style.label_property)).filter((found) => found !== null);
  const wishes = [];
  // A cell's figure stands in its middle, and rather on the path than not at all.
  for (const found of entry.anchors) {
    if (!view.bounds.intersects(found.bounds)) continue;
    const wish = found.kind === "point" ? pointWish(found, view) : shapeWish(found, view, style.label_at);
    if (wish) wishes.push({ text: found.text, cls: "chart", colour: style.stroke, priority: rank, offPath: style.label_at !== "middle", ...wish });
  }
  return wishes;
}

function anchor(feature, property) {
  const text = feature.properties?.[property];
  if (text === null || text === undefined || text === "" || !feature.geometry) return null;
  const shape = L.GeoJSON.geometryToLayer(feature);
  if (!shape) return null;
  const isPoint = feature.geometry.type === "Point";
  const bounds = isPoint ? L.latLngBounds([shape.getLatLng()]) : shape.getBounds();
  if (!bounds.isValid()) return null;
  const kind = isPoint ? "point" : feature.geometry.type.endsWith("Polygon") ? "area" : "line";
  return { text: String(text), kind, bounds, coords: isPoint ? null : longest(shape.getLatLngs()) };
}

function longest(latlngs) {
  if (!Array.isArray(latlngs[0])) return latlngs;
  const rings = latlngs.map((part) => (Array.isArray(part[0]) ? part[0] : part));
  return rings.reduce((best, ring) => (ring.length > best.length ? ring : best));
}

function pointWish({ bounds }, view) {
  const { lat, lng } = bounds.getCenter();
  return { at: view.pixel([lng, lat]), radius: 11, block: 7 };
}

function shapeWish({ kind, coords, text }, view, labelAt) {
  const screen = L.bounds([0, 0], view.size);
  const pixels = coords.map(({ lat, lng }) => view.pixel([lng, lat]));
  const inView = kind === "area" ? L.PolyUtil.clipPolygon(pixels, screen) : pixels.filter((pixel) => view.shows(pixel));
  if (inView.length === 0) return null;
  if (kind === "line") return { spots: [inView[Math.floor(inView.length / 2)]] };
  const box = L.bounds(inView);
  const size = box.getSize();
  const [width, line] = [LETTER_PX * view.text * text.length, LINE_PX * view.text];
  if (size.x < width || size.y < line) return null;
  if (labelAt === "edge") return { spots: edgeSpots(inView, box, width / 2) };
  return { spots: labelAt === "middle" ? middleSpot(inView, box, width / 2, line / 2) : centreSpots(inView, box) };
}

function centreSpots(pixels, box) {
  const middle = centroid(pixels) ?? box.getCenter();
  return [middle, middle.add([0, 16]), middle.subtract([0, 16])].filter((spot) => box.contains(spot));
}

// A figure that holds for one area of many side by side: moved aside it would read as the next one's.
function middleSpot(pixels, box, halfWidth, halfHeight) {
  const middle = centroid(pixels) ?? box.getCenter();
  const corners = [[-halfWidth, -halfHeight], [halfWidth, -halfHeight], [halfWidth, halfHeight], [-halfWidth, halfHeight]];
  return corners.every((step) => isInside(middle.add(step), pixels)) ? [middle] : [];
}

// Just inside the turning points of the visible outline, as near to it as the whole word fits.
function edgeSpots(pixels, box, halfWidth) {
  const by = (measure) => pixels.reduce((best, pixel) => (measure(pixel) < measure(best) ? pixel : best));
  const middle = centroid(pixels) ?? box.getCenter();
  const turning = [by((p) => p.y), by((p) => -p.y), by((p) => p.x), by((p) => -p.x)];
  const spots = turning.flatMap((from) => INSETS_PX.map((inset) => towards(from, middle, inset)));
  const fits = (spot) => [[-halfWidth, 0], [halfWidth, 0], [0, -9], [0, 9]].every((step) => isInside(spot.add(step), pixels));
  return [...spots.filter(fits), middle];
}

function towards(from, to, distance) {
  const length = from.distanceTo(to);
  return length <= distance ? to : from.add(to.subtract(from).multiplyBy(distance / length));
}

function isInside({ x, y }, pixels) {
  let inside = false;
  pixels.forEach((p, index) => {
    const q = pixels[(index + 1) % pixels.length];
    if ((p.y > y) !== (q.y > y) && x < p.x + ((y - p.y) * (q.x - p.x)) / (q.y - p.y)) inside = !inside;
  });
  return inside;
}

function centroid(pixels) {
  let [area, x, y] = [0, 0, 0];
  pixels.forEach((p, index) => {
    const q = pixels[(index + 1) % pixels.length];
    const cross = p.x * q.y - q.x * p.y;
    area += cross;
    x += (p.x + q.x) * cross;
    y += (p.y + q.y) * cross;
  });
  return Math.abs(area) < 1e-6 ? null : L.point(x / (3 * area), y / (3 * area));
}
