"""What is typed into one of several fields that are taken together, while another of them is refused."""

NOT_TAKEN = "Nothing of this is taken yet: mend what is refused."


class Waiting:
    """Tells whether what is typed waits for the rest, and the plan is still as it was when it began to."""

    def __init__(self) -> None:
        self._waits = False
        self._held: object = None
        self.lacks = ""
        """What it waits for, in words: on save they name what is not in the plan."""

    def begin(self, held: object, lacks: str = "") -> None:
        """Wait from now on; `held` is what the plan holds meanwhile."""
        self._waits, self._held, self.lacks = True, held, lacks

    def end(self) -> None:
        """Wait no longer."""
        self._waits, self._held, self.lacks = False, None, ""

    def still(self, held: object) -> bool:
        """Whether it waits; what the plan holds otherwise by now ends it."""
        if held != self._held:
            self.end()
        return self._waits
