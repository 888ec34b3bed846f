"""The forms: what the check must know besides the drawing, in the order in which it changes the verdict."""
