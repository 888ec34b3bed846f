// Which words a chart layer would like to show in the present view, and where.

const SMALLEST_FILLED_PX = 2;

export function layerWishes(entry, view) {
  const { style, features, rank } = entry;
  if (!style.label_property || view.zoom < (style.min_zoom ?? 0)) return [];
  entry.anchors ??= features.map((feature) => anchor(feature, style.label_property)).filter((found) => found !== null);
  const wishes = [];
  for (const found of entry.anchors) {
    if (!view.bounds.intersects(found.bounds)) continue;
    const wish = found.kind === "point" ? pointWish(found, view) : shapeWish(found, view, style.label_at);
    if (wish) wishes.push({ text: found.text, cls: "chart", colour: style.stroke, priority: rank, ...wish });
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
  if (size.x < 6 * text.length + SMALLEST_FILLED_PX || size.y < 14) return null;
  return { spots: labelAt === "edge" ? edgeSpots(inView, box) : centreSpots(inView, box) };
}

function centreSpots(pixels, box) {
  const middle = centroid(pixels) ?? box.getCenter();
  return [middle, middle.add([0, 16]), middle.subtract([0, 16])].filter((spot) => box.contains(spot));
}

// Just inside the upper, lower, left and right turning points of the visible outline.
function edgeSpots(pixels, box) {
  const by = (measure) => pixels.reduce((best, pixel) => (measure(pixel) < measure(best) ? pixel : best));
  const middle = centroid(pixels) ?? box.getCenter();
  const extremes = [by((p) => p.y), by((p) => -p.y), by((p) => p.x), by((p) => -p.x)];
  return extremes.map((p) => p.add(middle.subtract(p).multiplyBy(18 / Math.max(18, p.distanceTo(middle)))));
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
