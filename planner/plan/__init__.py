"""What the pilot intends: a frozen plan, edits to it as values, and its file."""
