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
};
const CIRCLE_RADII_PX = { dot: 3.5, field: 6, pad: 7.5 };

export const ShapeMarker = L.CircleMarker.extend({
  options: { shape: "dot", radius: 12 },

  _updatePath() {
    if (!this._renderer._drawing || this._empty()) return;
    const pen = this._renderer._ctx;
    const { x, y } = this._point;
    const outline = new Path2D(outlineText(this.options.shape, x, y));
    pen.lineCap = "round";
    pen.lineJoin = "round";
    pen.setLineDash([]);
    pen.strokeStyle = "#fbf9f3";
    pen.lineWidth = this.options.weight + 3;
    pen.stroke(outline);
    pen.fillStyle = this.options.shape === "dot" ? this.options.color : "rgba(251, 249, 243, 0.55)";
    pen.fill(outline);
    pen.strokeStyle = this.options.color;
    pen.lineWidth = this.options.weight;
    pen.stroke(outline);
  },
});

function outlineText(shape, x, y) {
  const radius = CIRCLE_RADII_PX[shape] ?? (shape in OUTLINES ? 0 : CIRCLE_RADII_PX.dot);
  const circle = radius ? `M${x + radius} ${y}a${radius} ${radius} 0 1 0 ${-2 * radius} 0a${radius} ${radius} 0 1 0 ${2 * radius} 0Z` : "";
  let verb = "M";
  const strokes = (OUTLINES[shape] ?? []).map((step) => {
    if (step === LIFT) {
      verb = "M";
      return "";
    }
    const text = `${verb}${x + step[0]} ${y + step[1]}`;
    verb = "L";
    return text;
  });
  return circle + strokes.join("");
}
