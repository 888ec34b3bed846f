// Point features drawn straight on the layer canvas, so that thousands of them stay light.

const LIFT = null; // ends one stroke and begins the next

const OUTLINES = {
  square: [[-4, -4], [4, -4], [4, 4], [-4, 4], [-4, -4]],
  diamond: [[0, -6], [6, 0], [0, 6], [-6, 0], [0, -6]],
  mast: [[-5, 6], [0, -9], [5, 6], LIFT, [0, -9], [0, 6]],
  tower: [[-4, 8], [-2, 0], [-5, -1], [-5, -7], [5, -7], [5, -1], [2, 0], [4, 8]],
  site: [[-7, 5], [0, -6], [7, 5], [-7, 5], LIFT, [0, -6], [0, 5]],
  cross: [[-5, -5], [5, 5], LIFT, [5, -5], [-5, 5]],
  field: [[-11, 0], [-6, 0], LIFT, [6, 0], [11, 0], LIFT, [0, -11], [0, -6], LIFT, [0, 6], [0, 11]],
  pad: [[-2.5, -3.5], [-2.5, 3.5], LIFT, [2.5, -3.5], [2.5, 3.5], LIFT, [-2.5, 0], [2.5, 0]],
  bowl: [
    [-9, 0], [-7.5, -3.6], [-3.5, -6], [3.5, -6], [7.5, -3.6], [9, 0], [7.5, 3.6], [3.5, 6], [-3.5, 6], [-7.5, 3.6], [-9, 0],
    LIFT, [-3.5, -1.8], [3.5, -1.8], [3.5, 1.8], [-3.5, 1.8], [-3.5, -1.8],
  ],
};
const CIRCLE_RADII_PX = { dot: 3.5, field: 6, pad: 7.5 };

export const ShapeMarker = L.CircleMarker.extend({
  options: { shape: "dot", radius: 12 },

  _updatePath() {
    if (!this._renderer._drawing || this._empty()) return;
    const pen = this._renderer._ctx;
    const { x, y } = this._point;
    pen.translate(x, y);
    paint(pen, outlineOf(this.options.shape), this.options);
    pen.translate(-x, -y);
  },
});

// Thousands of points of one look: three strokes of the pen for all that are in view.
export const ShapeCloud = L.Path.extend({
  options: { shape: "dot", nearZoom: 0 },

  initialize(latlngs, options) {
    L.setOptions(this, options);
    this._latlngs = latlngs;
  },

  _project() {
    this._points = this._latlngs.map((place) => this._map.latLngToLayerPoint(place));
    const { min, max } = L.bounds(this._points);
    this._pxBounds = L.bounds(min.subtract([12, 12]), max.add([12, 12]));
  },

  _update() {
    if (this._map) this._updatePath();
  },

  _updatePath() {
    const renderer = this._renderer;
    if (!renderer._drawing) return;
    const room = L.bounds(renderer._bounds.min.subtract([12, 12]), renderer._bounds.max.add([12, 12]));
    const inView = this._points.filter((point) => room.contains(point));
    const all = new Path2D();
    // From far away thousands of signs would hide the map: each is a speck there.
    if (this._map.getZoom() < this.options.nearZoom) {
      for (const { x, y } of inView) all.rect(x - 1, y - 1, 2, 2);
      renderer._ctx.fillStyle = this.options.color;
      renderer._ctx.fill(all);
      return;
    }
    const outline = outlineOf(this.options.shape);
    for (const { x, y } of inView) all.addPath(outline, new DOMMatrix([1, 0, 0, 1, x, y]));
    paint(renderer._ctx, all, this.options);
  },
});

const made = new Map();

// One path a shape, moved to each point: to make one for each of thousands takes longer than to draw them.
function outlineOf(shape) {
  if (!made.has(shape)) made.set(shape, new Path2D(outlineText(shape)));
  return made.get(shape);
}

function paint(pen, outline, { shape, color, weight }) {
  pen.lineCap = "round";
  pen.lineJoin = "round";
  pen.setLineDash([]);
  pen.strokeStyle = "#fbf9f3";
  pen.lineWidth = weight + 3;
  pen.stroke(outline);
  pen.fillStyle = shape === "dot" ? color : "rgba(251, 249, 243, 0.55)";
  pen.fill(outline);
  pen.strokeStyle = color;
  pen.lineWidth = weight;
  pen.stroke(outline);
}

function outlineText(shape) {
  const radius = CIRCLE_RADII_PX[shape] ?? (shape in OUTLINES ? 0 : CIRCLE_RADII_PX.dot);
  const circle = radius ? `M${radius} 0a${radius} ${radius} 0 1 0 ${-2 * radius} 0a${radius} ${radius} 0 1 0 ${2 * radius} 0Z` : "";
  let verb = "M";
  const strokes = (OUTLINES[shape] ?? []).map((step) => {
    if (step === LIFT) {
      verb = "M";
      return "";
    }
    const text = `${verb}${step[0]} ${step[1]}`;
    verb = "L";
    return text;
  });
  return circle + strokes.join("");
}
