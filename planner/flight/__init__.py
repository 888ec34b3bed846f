"""Does it come home: time, wind, energy, links, loss of the link, fall, near traffic."""
