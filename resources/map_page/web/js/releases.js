// Tells the desk when a button that was let go has been dealt with, its click and the end of its drag included.

export function tellReleases(link, edits) {
  // The click comes right after the release, before anything that waits its turn.
  window.addEventListener("mouseup", () => setTimeout(() => edits.whenIdle(() => link.send("released"))), true);
}
