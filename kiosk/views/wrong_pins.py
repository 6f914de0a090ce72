"""What the builder is told of wrong PINs."""

from kiosk.record.state import State
from kiosk.shop.shop import Shop


def wrong_pin_lines(shop: Shop, state: State) -> list[str]:
    """How many wrong PINs were typed for whom since when, until a sitting with the right one was closed."""
    lines = []
    for person_id, tries in state.pins.items():
        if tries.untold and tries.since is not None:
            person = shop.people.get(person_id)
            plural = "" if tries.untold == 1 else "s"
            since = tries.since.astimezone().strftime("%a %d %b %H:%M")
            lines.append(
                f"{tries.untold} wrong PIN{plural} for {person.name if person else person_id} since {since}"
            )
    return lines
