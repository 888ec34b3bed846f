// Which rectangles of the screen are taken, and the best free one for a label.

const LINE_HEIGHT_PX = 15;
const GAP_PX = 3;
const MARGIN_PX = 4;
const CROSSING_COST = 40; // more than any rank: where some place is clear of the lines, it is taken
const OVERLAP_COST = 1000;
const CUT_OFF = 1.5; // as bad as so many overlaps
const WORST_OPTIONAL_COST = 60;

export class LabelRoom {
  #size;
  #lines;
  #line;
  #taken = [];

  // `lines` are those that words keep clear of; `text` is the size of text, of the usual one.
  constructor(size, lines, text) {
    this.#size = size;
    this.#lines = lines;
    this.#line = LINE_HEIGHT_PX * text;
  }

  block({ x, y }, half) {
    this.#taken.push([x - half, y - half, x + half, y + half]);
  }

  blockBox(box) {
    this.#taken.push(box);
  }

  take(wish, width) {
    let best = null;
    let bestCost = Infinity;
    this.#options(wish, width).forEach((box, rank) => {
      const cost = rank + this.#cost(box, wish);
      if (cost < bestCost) [best, bestCost] = [box, cost];
    });
    if (best === null || (!wish.always && bestCost > (wish.clear || wish.offPath ? CROSSING_COST - 1 : WORST_OPTIONAL_COST))) return null;
    this.#taken.push([best[0] - GAP_PX, best[1], best[2] + GAP_PX, best[3]]);
    return L.point(best[0], best[1]);
  }

  // What must be shown may also be pushed into view; it, and what must be clear of lines, may stand some lines farther off.
  #options(wish, width) {
    const near = boxes(wish, width, this.#line);
    if (!wish.always && !wish.clear) return near;
    const farOff = (some) => some.flatMap((lines) => boxes({ ...wish, radius: wish.radius + lines * this.#line }, width, this.#line));
    const farther = farOff([1, 2]);
    if (!wish.always) return [...near, ...farther];
    // In a corner of the view names of several marks find room only some lines above one another.
    return [...near, ...[...near, ...farther, ...farOff([3, 4, 5, 6])].map((box) => this.#pushedIn(box, width))];
  }

  #pushedIn([left, top], width) {
    return boxAt(within(left, this.#size.x - width), within(top, this.#size.y - this.#line), width, this.#line);
  }

  #cost(box, wish) {
    if (wish.always && !this.#isNear(wish.at)) return Infinity;
    const isInside = this.#isInside(box);
    const overlaps = this.#taken.reduce((count, taken) => count + overlap(box, taken), 0);
    // The name of a mark that is out of view is nobody's at the edge: it covers none of what is in view.
    if (wish.always && overlaps > 0 && !this.#isInView(wish.at)) return Infinity;
    if (overlaps > 0 || !isInside) return wish.always ? OVERLAP_COST * (overlaps + (isInside ? 0 : CUT_OFF)) : Infinity;
    return CROSSING_COST * this.#crossings(box);
  }

  #isNear({ x, y }) {
    return x > -20 && y > -20 && x < this.#size.x + 20 && y < this.#size.y + 20;
  }

  #isInView({ x, y }) {
    return x >= 0 && y >= 0 && x <= this.#size.x && y <= this.#size.y;
  }

  #isInside([left, top, right, bottom]) {
    return left >= MARGIN_PX && top >= MARGIN_PX && right <= this.#size.x - MARGIN_PX && bottom <= this.#size.y - MARGIN_PX;
  }

  #crossings(box) {
    const bounds = L.bounds([box[0] - 2, box[1] - 1], [box[2] + 2, box[3] + 1]);
    let count = 0;
    for (const line of this.#lines) {
      for (let leg = 0; leg + 1 < line.length; leg++) {
        if (L.LineUtil.clipSegment(line[leg], line[leg + 1], bounds)) count += 1;
      }
    }
    return count;
  }
}

// A side's beginning, moved so that all of it, `most` less, lies in view.
function within(begins, most) {
  return Math.max(MARGIN_PX + 1, Math.min(begins, most - MARGIN_PX - 1));
}

function overlap(a, b) {
  return a[0] < b[2] && a[2] > b[0] && a[1] < b[3] && a[3] > b[1] ? 1 : 0;
}

function boxes(wish, width, line) {
  if (wish.spots) return wish.spots.map((spot) => boxAt(spot.x - width / 2, spot.y - line / 2, width, line));
  const { x, y } = wish.at;
  const [half, r] = [width / 2, wish.radius];
  const [middle, d] = [y - line / 2, r * 0.75];
  return [
    [x + r, middle], [x - r - width, middle], [x - half, y - r - line], [x - half, y + r],
    [x + d, y - d - line], [x + d, y + d], [x - d - width, y - d - line], [x - d - width, y + d],
  ].map(([left, top]) => boxAt(left, top, width, line));
}

function boxAt(left, top, width, line) {
  return [left, top, left + width, top + line];
}
