// Small arrowheads along the path that tell which way it is flown.

const EVERY_PX = 130;
const SHORTEST_LEG_PX = 44;
const SIZE_PX = 7;
const PLACE_ON_STRETCH = 0.64; // beside the middle, where the handle is

export function chevrons(map, path) {
  const view = map.getPixelBounds().pad(0.1);
  const pixels = path.map(([lon, lat]) => map.project([lat, lon]));
  const found = [];
  for (let leg = 0; leg + 1 < pixels.length; leg++) {
    const [start, end] = [pixels[leg], pixels[leg + 1]];
    const length = start.distanceTo(end);
    if (length < SHORTEST_LEG_PX || !view.intersects(L.bounds([start, end]))) continue;
    const count = Math.max(1, Math.floor(length / EVERY_PX));
    for (let k = 0; k < count; k++) {
      const at = start.add(end.subtract(start).multiplyBy((k + PLACE_ON_STRETCH) / count));
      if (view.contains(at)) found.push(chevron(map, at, end.subtract(start).divideBy(length)));
    }
  }
  return found;
}

function chevron(map, at, along) {
  const across = L.point(-along.y, along.x).multiplyBy(SIZE_PX * 0.8);
  const back = at.subtract(along.multiplyBy(SIZE_PX));
  const notch = at.subtract(along.multiplyBy(SIZE_PX * 0.4));
  const tip = at.add(along.multiplyBy(SIZE_PX));
  const points = [back.add(across), tip, back.subtract(across), notch, back.add(across)];
  return points.map((point) => map.unproject(point));
}
