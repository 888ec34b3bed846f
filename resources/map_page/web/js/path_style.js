// How each mark of the path looks: by pattern first, by tone second.

const CASING = { color: "#fbf9f3", weight: 8, opacity: 0.9, lineCap: "round", lineJoin: "round" };

export const MARK_STROKES = {
  clear: [CASING, { color: "#1d5c57", weight: 4, lineCap: "round" }],
  act: [{ ...CASING, weight: 9 }, { color: "#2450a8", weight: 4.5, dashArray: "15 8", lineCap: "butt" }],
  stop: [
    { color: "#6e2212", weight: 12, lineCap: "butt" },
    { color: "url(#hatch)", weight: 9, lineCap: "butt" },
  ],
  brief: [
    { ...CASING, weight: 9 },
    { color: "#1d5c57", weight: 6.5, lineCap: "butt" },
    { color: "#fbf9f3", weight: 3, lineCap: "butt" },
  ],
  unknown: [{ ...CASING, weight: 9 }, { color: "#3d423f", weight: 4.5, dashArray: "0.1 8", lineCap: "round" }],
};

export const PATH_STROKES = [
  { ...CASING, weight: 6 },
  { color: "#1f2b2a", weight: 1.5, lineCap: "round" },
];

export const AREA_FILL = { stroke: false, fill: true, fillColor: "#1d5c57", fillOpacity: 0.06 };
export const AREA_STROKES = [{ color: "#1d5c57", weight: 1.75, dashArray: "6 4" }];

// A temporary restriction: the look of closed airspace in the charts, so that nobody takes it for less.
export const CLOSED = {
  color: "#1f2b2a", weight: 1.8, dashArray: "9 3 2 3", fill: true, fillColor: "#1f2b2a", fillOpacity: 0.06, fillRule: "nonzero",
};
// One that does not hold at the planned time.
export const IDLE = { color: "#1f2b2a", weight: 1, opacity: 0.45, dashArray: "9 3 2 3", fill: false };
export const CLOSURE_STROKES = [{ color: "#6e2212", weight: 2, dashArray: "9 3 2 3" }];

export const RUBBER_STROKE = { color: "#1f2b2a", weight: 1.5, dashArray: "3 5", opacity: 0.8 };
export const CHEVRON_STROKES = [
  { color: "#fbf9f3", weight: 3.5, lineJoin: "round", opacity: 0.95 },
  { color: "#1f2b2a", weight: 0.5, lineJoin: "miter", fill: true, fillColor: "#1f2b2a", fillOpacity: 1 },
];
