"""Text from files, made fit for one line on screen or paper."""


def one_line(text: str) -> str:
    """Return the text on one line, without control and direction marks."""
    return "".join(letter for letter in " ".join(text.split()) if letter.isprintable())
