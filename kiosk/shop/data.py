"""Where the shipped procedures and scenarios are, in a checkout and in an installed wheel."""

from pathlib import Path

HISTORY_FILE = "history.yaml"  # in a scenario's folder: what was done in it so far


def data_folder(name: str) -> Path:
    """The folder ``procedures`` or ``scenarios`` that came with the kiosk."""
    installed = Path(__file__).parent.parent / "_data" / name
    return installed if installed.exists() else Path(__file__).parent.parent.parent / name
