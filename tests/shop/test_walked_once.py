"""A check asks once of each kind and step whether the one does the other, however much is held to it."""

from collections import Counter
from pathlib import Path

import pytest

from kiosk.drawing.step_drawings import STEP_DRAWINGS
from kiosk.shop.figures import Figures
from kiosk.shop.load import load
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import Procedure, Step


def test_every_route_is_walked_once(new_shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: Counter[tuple[str, str, str]] = Counter()
    does = Figures.does

    def counted(figures: Figures, kind: PartKind, procedure: Procedure, step: Step) -> bool:
        asked[kind.id, procedure.id, step.id] += 1
        return does(figures, kind, procedure, step)

    monkeypatch.setattr(Figures, "does", counted)
    loaded = load(new_shop, lint=True, drawings=STEP_DRAWINGS)
    assert loaded.shop is not None and loaded.faults == []
    assert {kind for kind, _, _ in asked} == set(loaded.shop.kinds)
    assert set(asked.values()) == {1}
