// The place that somebody asked to be shown: a cross with its name or coordinates, wherever it lies.

import { Symbols } from "./symbols.js";

export class PlaceMark {
  #symbols;
  #labels;
  #asked = null; // {lonlat, words}

  constructor(map, labels) {
    this.#symbols = new Symbols(map);
    this.#labels = labels;
    labels.provide("asked", (view) => this.#wishes(view));
  }

  show(asked) {
    this.#asked = asked;
    this.#symbols.draw(asked === null ? [] : [{ shape: "asked", lonlat: asked.lonlat, selected: false }]);
    this.#labels.refresh();
  }

  #wishes(view) {
    if (this.#asked === null) return [];
    const { lonlat, words } = this.#asked;
    return [{ text: words, cls: "plan", priority: 950, always: true, radius: 16, at: view.pixel(lonlat), block: 12 }];
  }
}
