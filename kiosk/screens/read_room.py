"""Reading the room: its temperature, then its humidity; each is looked at at once, and asked again alone."""

from kiosk.catalogue import said
from kiosk.record.rules import Refused
from kiosk.record.rules.things import room_humidity_percent, room_temperature_f
from kiosk.screens.keypad import TEMPERATURE_FACES, KeypadScreen
from kiosk.screens.kiosk import Kiosk


def read_room(kiosk: Kiosk, refused: str = "") -> None:
    """Ask for both, and note them. ``refused`` says why it is asked again."""

    def temperature(text: str) -> None:
        try:
            temperature_f = room_temperature_f(text)
        except Refused as error:
            read_room(kiosk, said("NOT DONE: {error}", error=error))
        else:
            _read_humidity(kiosk, temperature_f)

    dialog = KeypadScreen(
        said("Temperature in the room: F, or C with a C"),
        room_temperature_f,
        refused=refused,
        faces=TEMPERATURE_FACES,
    )
    kiosk.ask(dialog, temperature)


def _read_humidity(kiosk: Kiosk, temperature_f: float, refused: str = "") -> None:
    def humidity(text: str) -> None:
        try:
            humidity_percent = room_humidity_percent(text)
        except Refused as error:
            _read_humidity(kiosk, temperature_f, said("NOT DONE: {error}", error=error))
        else:
            kiosk.bench.note_conditions(temperature_f, humidity_percent, tap=kiosk.taps.id)

    title = said(
        "Humidity in the room: percent ({temperature_f} F is noted)", temperature_f=f"{temperature_f:.0f}"
    )
    kiosk.ask(KeypadScreen(title, room_humidity_percent, refused=refused), humidity)
