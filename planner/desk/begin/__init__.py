"""How one begins: a place, a plan worked on before, a demo flight."""
