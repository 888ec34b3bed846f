// First the channel and Leaflet, side by side; then everything that builds on Leaflet.

import { openLink } from "./link.js";
import { loadLeaflet } from "./leaflet_loader.js";

const leafletUrl = new URLSearchParams(location.search).get("leaflet");
const [link] = await Promise.all([openLink(), loadLeaflet(leafletUrl)]);
const { start } = await import("./main.js");
start(link);
