"""The one base class of everything the kiosk says when something cannot be done."""


class KioskError(Exception):
    """Something cannot be done. Carries what is wrong and how to mend it, in plain words."""

    def __init__(self, wrong: str, mend: str = "") -> None:
        self.wrong = wrong
        self.mend = mend
        super().__init__(f"{wrong}; {mend}" if mend else wrong)
