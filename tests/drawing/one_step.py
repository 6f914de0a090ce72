"""A shop of which one kind's route is a single shipped step, so that the step can be walked at once."""

import shutil
from contextlib import suppress
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import yaml

from kiosk.commands.make_shop import make_shop
from kiosk.errors import KioskError
from kiosk.shop.data import data_folder
from kiosk.shop.kept import open_shop

_SET_ASIDE = """\
id: set-aside
title: Set aside
revision: "1"
revised: 2026-11-25
reason: for kinds that are not walked here
sources: [common practice, no source]
steps:
  - {id: lay, do: Lay it on the shelf., minutes: {each: 1}, stop: anywhere}
"""
LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)  # a sixth of the time
_LEFT_OUT = ("hazards", "cautions", "hold_point", "waits", "conditions", "irreversible")  # they are not drawn


_MADE: dict[str, Path] = {}  # by all that was asked for


@cache
def _room() -> TemporaryDirectory[str]:
    """Where each shop that was made is kept until the process ends."""
    return TemporaryDirectory(prefix="one-step-")


def make_shop_at(folder: Path, kind_id: str, procedure_id: str, step_id: str, **changes: Any) -> None:
    """Make it; ``changes`` are fields of the step, such as its drawing; None leaves one out.

    A shop is made and read once a process. ``folder`` is a copy, with what was read kept beside its files.
    """
    asked = repr((kind_id, procedure_id, step_id, sorted(changes.items())))
    if asked not in _MADE:
        made = Path(_room().name) / str(len(_MADE)) / "shop"
        _make(made, kind_id, procedure_id, step_id, changes)
        with suppress(KioskError):  # one with a fault on purpose
            open_shop(made)
        _MADE[asked] = made
    shutil.copytree(_MADE[asked], folder)


def _make(folder: Path, kind_id: str, procedure_id: str, step_id: str, changes: dict[str, Any]) -> None:
    make_shop(folder, "brambling", with_history=False)
    (shipped,) = data_folder("procedures").rglob(f"{procedure_id}.yaml")
    procedure = yaml.load(shipped.read_text(encoding="utf-8"), LOADER)
    step = next(one for one in procedure["steps"] if one["id"] == step_id)
    kept = {name: value for name, value in step.items() if name not in _LEFT_OUT}
    procedure["steps"] = [
        {name: value for name, value in {**kept, "stop": "anywhere", **changes}.items() if value is not None}
    ]
    own = folder / "procedures" / f"{procedure_id}.yaml"
    own.write_text(yaml.safe_dump(procedure, sort_keys=False, width=1000), encoding="utf-8")
    (folder / "procedures" / "set-aside.yaml").write_text(_SET_ASIDE, encoding="utf-8")
    path = folder / "shop.yaml"
    shop = yaml.load(path.read_text(encoding="utf-8"), LOADER)
    for kind in shop["part_kinds"]:
        route = [one["procedure"] for one in kind["route"] if one["procedure"] != procedure_id]
        kind["route"] = [{"procedure": one} for one in route or ["set-aside"]]
        for run in kind["marks"]:
            run.pop("made_from", None)
        if kind["id"] == kind_id:
            kind["route"] = [{"procedure": procedure_id}]
    path.write_text(yaml.safe_dump(shop, sort_keys=False, width=1000), encoding="utf-8")
