"""The places one can go to from every screen: name, key, words and screen, each written here and only here.

The row of places, the keys, the way to each place and its picture all come from this list. So does the way
from one place's page to another that only it leads to.
"""

from importlib import import_module

from kiosk.catalogue import to_be_said
from kiosk.dataclass import dataclass
from kiosk.screens.action import Shown
from kiosk.screens.base import KioskScreen


@dataclass(frozen=True)
class Place:
    """A screen that is reached by its name. It is loaded when it is first gone to: some are slow to load."""

    name: str
    label: str
    key: str
    screen: str  # module and class
    shown: Shown = "always"  # on the row of places
    leads_from: str = (
        ""  # the place whose page alone leads there, by a key of its own; empty: every screen does
    )

    def open(self) -> KioskScreen:
        """A new screen of it."""
        module, _, name = self.screen.partition(":")
        screen = getattr(import_module(f"kiosk.screens.{module}"), name)()
        assert isinstance(screen, KioskScreen)
        return screen


HOME = "place"
PLACES = (
    Place(HOME, to_be_said("Place"), "f1", "place:PlaceScreen"),
    Place("spare", to_be_said("Minutes"), "f2", "spare:SpareScreen"),
    Place("board", to_be_said("Board"), "f3", "board:BoardScreen"),
    Place("people", to_be_said("People"), "f4", "people:PeopleScreen", shown="roomy"),
    Place("numbers", to_be_said("Numbers"), "f9", "numbers:NumbersScreen", shown="key"),
    Place("stock", to_be_said("Stock"), "f11", "stock:StockScreen", shown="key"),
    Place("close-up", to_be_said("Close up"), "f10", "close_up:CloseUpScreen", shown="narrow"),
    Place(
        "forecast",
        to_be_said("Finished when"),
        "f12",
        "forecast:ForecastScreen",
        shown="key",
        leads_from="board",
    ),
)


def place(name: str) -> Place:
    """The place of this name. Raises KeyError when there is none."""
    return {one.name: one for one in PLACES}[name]
