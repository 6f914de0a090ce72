"""A tap tried again is recorded once, whichever tap it is."""

import ast
import inspect
from collections.abc import Callable
from pathlib import Path

import kiosk.bench
from kiosk.bench import Bench, new_tap
from kiosk.record.state import Piece
from tests.planning.test_spare import take_to


def test_every_method_that_records_takes_the_tap_and_hands_it_on() -> None:
    source = Path(inspect.getfile(kiosk.bench)).read_text(encoding="utf-8")
    bench = next(node for node in ast.parse(source).body if isinstance(node, ast.ClassDef))
    recording = 0
    for method in bench.body:
        if not isinstance(method, ast.FunctionDef) or method.name.startswith("_"):
            continue
        calls = [
            call
            for call in ast.walk(method)
            if isinstance(call, ast.Call) and ast.unparse(call.func) == "self._do"
        ]
        for call in calls:
            recording += 1
            given = [argument.arg for argument in (*method.args.args, *method.args.kwonlyargs)]
            assert "tap" in given, method.name
            assert ast.unparse(call.args[0]) == "tap", method.name
    assert recording >= 28


def test_the_same_tap_twice_is_recorded_once(bench: Bench) -> None:
    take_to(bench, ["FB-NR"], "form-block/pin-holes")
    bench.note_conditions(68, 50)
    taps: list[Callable[[str], object]] = [
        lambda tap: bench.start(["FB-NR"], "form-block", "pin-holes", tap),
        lambda tap: bench.acknowledge(work(), tap),
        lambda tap: bench.count(work(), "FB-NR", piece().count + 1, tap),
        lambda tap: bench.answer(work(), "FB-NR", "pin", "yes", tap),
        lambda tap: bench.note("pilot drill blunt", "FB-NR", tap),
        lambda tap: bench.raise_snag("FB-MR", "knot in the wood", tap),
        lambda tap: bench.count_stock("sandpaper", 7, tap),
        lambda tap: bench.undo(bench.state.undoables[-1].event, tap),
        lambda tap: bench.come("pip", tap=tap),
    ]

    def work() -> str:
        return next(iter(bench.state.works))

    def piece() -> Piece:
        return bench.state.works[work()].pieces[0]

    for number, tapped in enumerate(taps):
        before, tap = bench.state.seq, new_tap()
        tapped(tap)
        assert bench.state.seq > before, number
        after = bench.state.seq
        tapped(tap)
        assert bench.state.seq == after, number
