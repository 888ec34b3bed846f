// The plan as drawn: what the desk last sent, with the point under the pilot's hand laid over it.

const EMPTY = { area: [], closures: [], closure: [], closure_is_line: false, beneath: [], figures: [], path: [], path_marks: [], launch: null, landing: null, return_point: null, crew: [], selected: null, turning: null };
const LINES = ["path", "area", "closure"];

export class LivePlan {
  #sent = EMPTY;
  #held = null; // {part, index, lonlat, insertedAfter}, or with `turned`: {group, from, turn, scale, asked}
  #selectedAtDesk; // undefined: nothing new from the desk
  selected = null;

  receive(plan) {
    const before = this.#held && LINES.includes(this.#held.part) ? this.#sent[this.#held.part].length : null;
    this.#sent = { ...EMPTY, ...plan };
    if ("selected" in plan) this.#selectedAtDesk = plan.selected;
    if (this.#held === null) {
      this.#adoptSelection();
      return;
    }
    if (this.#held.turned) {
      this.#keepPossible(before);
      return;
    }
    if (before !== null && this.#held.insertedAfter !== null && this.#sent[this.#held.part].length > before) {
      this.#held.insertedAfter = null;
    }
    if (this.position(this.#held.part, this.#held.index) === null) this.release();
  }

  hold(part, index, lonlat) {
    this.#held = { part, index, lonlat, insertedAfter: null };
  }

  insert(part, afterIndex, lonlat) {
    this.#held = { part, index: afterIndex + 1, lonlat, insertedAfter: afterIndex };
  }

  // Take hold of all points chosen together, to turn and scale them about their middle.
  holdChosen() {
    const group = this.selected.group.slice();
    const from = group.map((index) => this.#sent.path[index]);
    const turned = { group, from, turn: 0, scale: 1, asked: { turn: 0, scale: 1 }, known: false };
    this.#held = { part: "path", index: group.at(-1), insertedAfter: null, turned };
  }

  // Where the desk has refused to follow, what it last agreed to is drawn until it follows again.
  reshape(turn, scale) {
    const { turned } = this.#held;
    turned.asked = { turn, scale };
    if (!this.#sent.turning?.refused) Object.assign(turned, turned.asked);
  }

  #keepPossible(before) {
    const { turned } = this.#held;
    const { turning } = this.#sent;
    const isOver = turning === null && turned.known; // not so before the desk has heard of it
    if (isOver || this.#sent.path.length !== before) {
      this.release();
    } else if (turning !== null) {
      turned.known = true;
      Object.assign(turned, turning.refused ? { turn: turning.turn, scale: turning.scale } : turned.asked);
    }
  }

  // What is drawn of turning and scaling now, {turn, scale}; null while nobody does.
  get reshaped() {
    return this.#held?.turned ?? null;
  }

  get asked() {
    return this.#held?.turned?.asked ?? { turn: 0, scale: 1 };
  }

  // What the desk says of it.
  get turning() {
    return this.#sent.turning?.words ?? "";
  }

  get chosenTogether() {
    const { selected } = this;
    const group = selected?.part === "path" ? (selected.group ?? []) : [];
    return group.length > 1 ? group.map((index) => this.line("path")[index]).filter((lonlat) => lonlat) : [];
  }

  move(lonlat) {
    if (this.#held) this.#held.lonlat = lonlat;
  }

  release() {
    this.#held = null;
    this.#adoptSelection();
  }

  #adoptSelection() {
    if (this.#selectedAtDesk !== undefined) this.selected = this.#selectedAtDesk;
    this.#selectedAtDesk = undefined;
  }

  get held() {
    return this.#held;
  }

  line(part) {
    const held = this.#held;
    if (held?.part !== part) return this.#sent[part];
    if (held.turned) return this.#turnedLine(held.turned);
    const group = this.#group(part, held.index);
    if (group !== null && held.insertedAfter === null) {
      const [lon, lat] = this.#sent[part][held.index];
      const by = [held.lonlat[0] - lon, held.lonlat[1] - lat];
      return this.#sent[part].map((at, index) => (group.includes(index) ? [at[0] + by[0], at[1] + by[1]] : at));
    }
    const coords = this.#sent[part].slice();
    coords.splice(held.index, held.insertedAfter === null ? 1 : 0, held.lonlat);
    return coords;
  }

  #turnedLine(turned) {
    const places = aboutTheirMiddle(turned.from, turned.turn, turned.scale);
    const coords = this.#sent.path.slice();
    turned.group.forEach((index, which) => { coords[index] = places[which]; });
    return coords;
  }

  // The points chosen together, if this is one of several; they move as one.
  #group(part, index) {
    const { selected } = this;
    const group = selected?.part === part ? (selected.group ?? []) : [];
    return group.length > 1 && group.includes(index) ? group : null;
  }

  isChosen(part, index) {
    const { selected } = this;
    return selected?.part === part && (selected.index === index || (selected.group ?? []).includes(index));
  }

  isOneOfSeveral(part, index) {
    return this.#group(part, index) !== null;
  }

  get closures() {
    return this.#sent.closures;
  }

  get closureIsLine() {
    return this.#sent.closure_is_line;
  }

  get beneath() {
    return this.#sent.beneath;
  }

  // Each with its course on the path as it is under the hand: a point put in or moved is followed at once.
  get figures() {
    const path = this.line("path");
    const after = this.#held?.part === "path" ? this.#held.insertedAfter : null;
    const shifted = (index) => (after !== null && index > after ? index + 1 : index);
    return this.#sent.figures
      .map((figure) => ({ ...figure, course: path.slice(shifted(figure.first), shifted(figure.last) + 1) }))
      .filter(({ course }) => course.length > 1);
  }

  get crew() {
    const held = this.#held;
    if (held?.part !== "crew") return this.#sent.crew;
    const [lon, lat] = held.lonlat;
    return this.#sent.crew.map((person, index) => (index === held.index ? { ...person, lon, lat } : person));
  }

  // Where signs stand: launch, landing, return point and people.
  get signs() {
    const spots = ["launch", "landing", "return_point"].map((part) => this.place(part)).filter((spot) => spot);
    return [...spots, ...this.crew.map(({ lon, lat }) => [lon, lat])];
  }

  place(part) {
    const sent = this.#sent[part];
    return sent !== null && this.#held?.part === part ? this.#held.lonlat : sent;
  }

  position(part, index) {
    if (LINES.includes(part)) return this.line(part)[index] ?? null;
    if (part !== "crew") return this.place(part);
    const person = this.crew[index];
    return person ? [person.lon, person.lat] : null;
  }

  // Marks follow the hand: each piece keeps its relative place on a leg whose ends have moved.
  get marks() {
    const held = this.#held;
    if (held?.part !== "path") return this.#sent.path_marks;
    const kept = this.#sent.path_marks.filter((piece) => piece.from !== held.insertedAfter);
    return [...kept.map((piece) => this.#carried(piece)), ...this.#newLegs()];
  }

  // Of the two legs at a point that is being put in nothing is known yet.
  #newLegs() {
    const after = this.#held.insertedAfter;
    const path = this.line("path");
    const legs = after === null ? [] : [after, after + 1].filter((leg) => path[leg] && path[leg + 1]);
    return legs.map((leg) => ({ from: leg, coords: [path[leg], path[leg + 1]], mark: "unknown" }));
  }

  #carried(piece) {
    const path = this.line("path");
    const [start, end] = [this.#sent.path[piece.from], this.#sent.path[piece.from + 1]];
    const shift = this.#held.insertedAfter !== null && piece.from > this.#held.insertedAfter ? 1 : 0;
    const [newStart, newEnd] = [path[piece.from + shift], path[piece.from + shift + 1]];
    if (!end || !newEnd) return piece;
    return { ...piece, coords: piece.coords.map((lonlat) => carry(lonlat, start, end, newStart, newEnd)) };
  }
}

function carry(lonlat, start, end, newStart, newEnd) {
  const [dx, dy] = [end[0] - start[0], end[1] - start[1]];
  const length2 = dx * dx + dy * dy;
  const t = length2 === 0 ? 0 : ((lonlat[0] - start[0]) * dx + (lonlat[1] - start[1]) * dy) / length2;
  return [newStart[0] + t * (newEnd[0] - newStart[0]), newStart[1] + t * (newEnd[1] - newStart[1])];
}

// The desk's own reckoning, in a plane about the middle of the points' box; on a map nobody sees a difference.
function aboutTheirMiddle(places, turnDeg, scale) {
  const [lons, lats] = [places.map(([lon]) => lon), places.map(([, lat]) => lat)];
  const middle = (values) => (Math.min(...values) + Math.max(...values)) / 2;
  const [lon0, lat0] = [middle(lons), middle(lats)];
  const shrink = Math.cos((lat0 * Math.PI) / 180);
  const [sine, cosine] = [Math.sin, Math.cos].map((of) => of((turnDeg * Math.PI) / 180));
  return places.map(([lon, lat]) => {
    const [x, y] = [(lon - lon0) * shrink, lat - lat0];
    return [lon0 + (scale * (x * cosine + y * sine)) / shrink, lat0 + scale * (y * cosine - x * sine)];
  });
}
