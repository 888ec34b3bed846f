"""Text from files, made fit for one line on screen or paper."""


def one_line(text: str) -> str:
    """Return the text on one line, without control and direction marks."""
    if text.isprintable() and "  " not in text and text[:1] != " " and text[-1:] != " ":
        return text
    joined = " ".join(text.split())
    return joined if joined.isprintable() else "".join(letter for letter in joined if letter.isprintable())
