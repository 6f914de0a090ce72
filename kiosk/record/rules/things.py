"""Acts on what is around the work: the room's air, the stock, notes."""

from collections.abc import Callable

from kiosk.errors import KioskError
from kiosk.record import events as e
from kiosk.record.context import Context
from kiosk.record.rules.door import Bodies, Refused, act, require_parts
from kiosk.shop.fields import COLDEST_F, HOTTEST_F
from kiosk.shop.measures import read_number
from kiosk.shop.shop import MOST_IN_STOCK

CLOSE_UP = "close-up"  # where the note at closing up is typed


def require_temperature(temperature_f: float) -> None:
    """Refuse what no workshop has. Raises Refused."""
    # Not "outside": nan compares with nothing, and must not pass.
    if not COLDEST_F <= temperature_f <= HOTTEST_F:
        raise Refused(
            f"{temperature_f:g} F is not a room's temperature",
            f"give {COLDEST_F:g} to {HOTTEST_F:g} F, or with a C for Celsius",
        )


def require_humidity(humidity_percent: float) -> None:
    """Refuse what no air has. Raises Refused."""
    if not 0 <= humidity_percent <= 100:
        raise Refused(f"{humidity_percent:g} % is not a humidity", "give 0 to 100")


def room_temperature_f(text: str) -> float:
    """What was typed as the room's temperature, in F or with a C. Raises Refused."""
    return _typed(text, "F", require_temperature)


def room_humidity_percent(text: str) -> float:
    """What was typed as the room's humidity in percent. Raises Refused."""
    return _typed(text, "%", require_humidity)


def _typed(text: str, unit: str, require: Callable[[float], None]) -> float:
    try:
        value = read_number(text, unit)
    except KioskError as error:
        raise Refused(error.wrong, error.mend) from None
    require(value)
    return value


@act("whoever is here")
def read_room(context: Context, temperature_f: float | None, humidity_percent: float | None) -> Bodies:
    """The room as read off the thermometer and the hygrometer."""
    if temperature_f is None and humidity_percent is None:
        raise Refused("nothing was read", "give the temperature or the humidity")
    if temperature_f is not None:
        require_temperature(temperature_f)
    if humidity_percent is not None:
        require_humidity(humidity_percent)
    return [e.ConditionsNoted(temperature_f=temperature_f, humidity_percent=humidity_percent)]


SHORTEST_SLOT, LONGEST_SLOT = 3, 120  # minutes


def slot_minutes(text: str) -> int:
    """The minutes that somebody has, as typed. Raises Refused, which says the limits."""
    plain = text.strip()
    if not (plain.isascii() and plain.isdecimal()) or not SHORTEST_SLOT <= int(plain) <= LONGEST_SLOT:
        shown = repr(plain[:12]) if plain else "nothing"
        raise Refused(f"{shown} is not minutes", f"give a whole number, {SHORTEST_SLOT} to {LONGEST_SLOT}")
    return int(plain)


@act("whoever is here")
def begin_slot(context: Context, minutes: int) -> Bodies:
    """Somebody has so many minutes from now on."""
    return [e.SlotBegun(minutes=slot_minutes(str(minutes)))]


@act("an adult")
def count_stock(context: Context, consumable: str, left: float) -> Bodies:
    """How much of a consumable is left, as counted."""
    item = context.shop.consumables.get(consumable)
    if item is None:
        raise Refused(f"no consumable is called {consumable!r}", "add it to shop.yaml")
    if not 0 <= left <= MOST_IN_STOCK:
        raise Refused(f"{left:,.10g} {item.unit} of {item.name} cannot be", "count it again")
    return [e.StockCounted(consumable=consumable, left=left)]


@act("whoever is here")
def type_words(context: Context, where: str, text: str) -> Bodies:
    """Words are half typed in a dialog at this screen, in place of what stood in it; empty ones drop that."""
    from kiosk.record.half_typed import half_typed_words  # a start does without

    stands = half_typed_words(context, where)
    if stands.own == text and stands.left is None:
        return []
    return [e.WordsTyped(where=where, text=text, goes_on_with=stands.left_by)]


def words_used(context: Context, where: str) -> Bodies:
    """What has to be recorded so that this screen's half-typed words are not offered again."""
    from kiosk.record.half_typed import half_typed_words

    own = half_typed_words(context, where).own
    return [e.WordsTyped(where=where, text="", goes_on_with=())] if own else []


@act("whoever is here")
def write_note(context: Context, text: str, mark: str = "") -> Bodies:
    """A free note, on a part or on the whole."""
    if not text.strip():
        return []
    if mark:
        require_parts(context, [mark])
    return [e.NoteWritten(text=text.strip(), mark=mark)]
