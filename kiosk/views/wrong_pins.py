"""What the builder is told of wrong PINs."""

from kiosk.catalogue import said
from kiosk.plural import so_many
from kiosk.record.state import State
from kiosk.shop.shop import Shop


def wrong_pin_lines(shop: Shop, state: State) -> list[str]:
    """How many wrong PINs were typed for whom since when, until a sitting with the right one was closed."""
    lines = []
    for person_id, tries in state.pins.items():
        if tries.untold and tries.since is not None:
            person = shop.people.get(person_id)
            since = tries.since.astimezone().strftime("%a %d %b %H:%M")
            wrong = so_many(tries.untold, "wrong PIN", "wrong PINs")
            lines.append(
                said(
                    "{wrong} for {words} since {since}",
                    wrong=wrong,
                    words=person.name if person else person_id,
                    since=since,
                )
            )
    return lines
