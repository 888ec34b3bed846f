// Which points of a line have room for a handle: of many side by side some, and small, until the map is closer.

const MANY = 30;
const CROWDED_PX = 16;
const APART_PX = 11;

// Each as {index, lonlat, small}. The first, the last and those chosen are always among them.
export function pointsWithRoom(map, plan, part) {
  const coords = plan.line(part);
  const all = coords.map((lonlat, index) => ({ index, lonlat, small: false }));
  if (coords.length < MANY) return all;
  const pixels = coords.map(([lon, lat]) => map.latLngToLayerPoint([lat, lon]));
  const gaps = pixels.slice(1).map((pixel, index) => pixel.distanceTo(pixels[index])).sort((a, b) => a - b);
  if (gaps[Math.floor(gaps.length / 2)] >= CROWDED_PX) return all;
  let last = null;
  return all.filter(({ index }) => {
    const isEnd = index === 0 || index === coords.length - 1;
    const kept = isEnd || plan.isChosen(part, index) || pixels[index].distanceTo(last) >= APART_PX;
    if (kept) last = pixels[index];
    return kept;
  }).map((point) => ({ ...point, small: true }));
}
