"""The shop's files are changed while work is under way: what was renamed follows; nothing moves silently."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from kiosk.bench import RECORD_FILE, Bench
from kiosk.commands import main
from kiosk.record.apply import fold
from kiosk.record.events import Renamed
from kiosk.record.readiness import next_blocks
from kiosk.record.rules import Refused
from kiosk.record.state import Answer, Piece, PieceTime
from kiosk.shop.data import data_folder
from kiosk.shop.load import load
from kiosk.shop.procedure import MeasureCheck, StepRef
from tests.conftest import SteadyClocks
from tests.driver import do_step, next_step, undo_newest
from tests.planning.test_spare import complete

Printed = pytest.CaptureFixture[str]
BLOCK = data_folder("procedures") / "tooling" / "form-block.yaml"


@dataclass
class Shop:
    """A shop whose form block has been glued: a wait runs before it may be sawn."""

    folder: Path
    clocks: SteadyClocks

    def open(self) -> Bench:
        return Bench(self.folder, self.clocks)

    def change_procedure(self, change: Callable[[str], str], name: str = "form-block.yaml") -> None:
        path = self.folder / "procedures" / name
        path.write_text(change(path.read_text() if path.exists() else BLOCK.read_text()))

    def change(self, old: str, new: str) -> None:
        path = self.folder / "shop.yaml"
        assert old in path.read_text()
        path.write_text(path.read_text().replace(old, new))


@pytest.fixture
def shop(new_shop: Path, clocks: SteadyClocks) -> Shop:
    (new_shop / "procedures" / "form-block.yaml").write_text(BLOCK.read_text())
    made = Shop(new_shop, clocks)
    bench = made.open()
    while not bench.state.part("FB-NR").clocks:
        clocks.go(1)
        do_step(bench, ["FB-NR"])
    bench.close_sitting("glue sets")
    bench.close()
    return made


@pytest.fixture
def glued(shop: Shop) -> Iterator[tuple[str, str]]:
    """The steps whose end started the wait, and which waits."""
    bench = shop.open()
    (clock,) = bench.state.part("FB-NR").clocks
    bench.close()
    yield clock.set_by, clock.step


def renamed(step: str, to: str, *, said: bool) -> Callable[[str], str]:
    """Give a step another id, in all that names it too, and say so or not."""

    def change(text: str) -> str:
        former = f"\n    renamed_from: {step}" if said else ""
        changed = re.sub(rf"^  - id: {step}$", f"  - id: {to}{former}", text, flags=re.MULTILINE)
        assert changed != text
        return re.sub(rf"\b(before|begin): {step}\b", rf"\1: {to}", changed)

    return change


def standing(bench: Bench, mark: str) -> tuple[str, list[str]]:
    where = bench.position(mark)
    return where.step.id if where.step else "?", [stop.kind for stop in next_blocks(bench.context, mark)]


def test_a_renamed_step_keeps_its_running_wait(shop: Shop, glued: tuple[str, str]) -> None:
    _, waiting = glued
    shop.change_procedure(renamed(waiting, "cut-it-out", said=True))
    bench = shop.open()
    assert standing(bench, "FB-NR") == ("cut-it-out", ["wait"])
    assert any("WAIT" in line for line in bench.place_card().clocks)
    shop.clocks.go(60 * 24)
    assert standing(bench, "FB-NR") == ("cut-it-out", [])
    do_step(bench, ["FB-NR"])
    assert not bench.state.part("FB-NR").clocks
    bench.close()


def test_a_wait_on_a_step_that_is_gone_is_a_question_and_never_released(
    shop: Shop, glued: tuple[str, str]
) -> None:
    _, waiting = glued
    shop.change_procedure(renamed(waiting, "cut-it-out", said=False))
    shop.clocks.go(5)
    bench = shop.open()
    where = bench.position("FB-NR")
    assert where.step is None and where.question is not None and where.question.asks == "wait gone"
    with pytest.raises(Refused):
        bench.start(["FB-NR"], "form-block", "cut-it-out")
    assert next(row for row in bench.board() if row.mark == "FB-NR").state_word == "QUESTION"
    bench.answer_place("FB-NR", StepRef("form-block", "cut-it-out"))
    assert standing(bench, "FB-NR") == ("cut-it-out", ["wait"]), "the wait goes on before the step named"
    shop.clocks.go(60 * 24)
    assert standing(bench, "FB-NR") == ("cut-it-out", [])
    bench.close()


def test_a_renamed_step_that_was_done_keeps_the_place(shop: Shop, glued: tuple[str, str]) -> None:
    last, waiting = glued
    shop.change_procedure(renamed(last, "stick-it-on", said=True))
    bench = shop.open()
    assert standing(bench, "FB-NR") == (waiting, ["wait"])
    assert "stick-it-on" in bench.state.part("FB-NR").passes["form-block"]
    assert PieceTime(StepRef("form-block", last), "wren") not in bench.state.times
    bench.close()


def test_a_renamed_procedure_keeps_place_wait_and_times(shop: Shop, glued: tuple[str, str]) -> None:
    def change(text: str) -> str:
        return text.replace("id: form-block\n", "id: wooden-block\nrenamed_from: [block, form-block]\n", 1)

    shop.change_procedure(change)
    shop.change("procedure: form-block\n", "procedure: wooden-block\n")
    before = shop.open()
    assert standing(before, "FB-NR") == (glued[1], ["wait"])
    assert list(before.state.part("FB-NR").passes) == ["wooden-block"]
    assert all(of.step.procedure != "form-block" for of in before.state.times if isinstance(of, PieceTime))
    seq = before.state.seq
    before.close()
    again = shop.open()
    assert again.state.seq == seq, "it is renamed once"
    again.close()


def test_a_renamed_mark_keeps_everything_in_hand(shop: Shop, glued: tuple[str, str]) -> None:
    shop.clocks.go(60 * 24)
    bench = shop.open()
    work = bench.start(["FB-NR"], "form-block", glued[1])
    bench.acknowledge(work)
    bench.raise_snag("FB-NR", "a knot")
    bench.close_sitting("")
    bench.close()
    shop.change("{first: FB-NR}", "{first: BL-1, renamed_from: FB-NR}")
    bench = shop.open()
    assert bench.state.works[work].marks == ("BL-1",)
    assert [snag.mark for snag in bench.state.open_snags()] == ["BL-1"]
    assert "FB-NR" not in bench.state.parts and bench.place_card().title.startswith("BL-1")
    bench.undo(bench.state.undoables[-1].event)
    assert not bench.state.open_snags()
    bench.close()


def test_a_run_of_marks_is_renamed_in_order(shop: Shop) -> None:
    bench = shop.open()
    do_step(bench, ["NR-03"])
    bench.close_sitting("")
    bench.close()
    shop.change("{first: NR-01, last: NR-10", "{first: RN-21, last: RN-30, renamed_from: NR-01")
    shop.change("made_from: [NR-01, FS-01]", "made_from: [RN-21, FS-01]")
    text = (shop.folder / "shop.yaml").read_text()
    for number in range(2, 11):
        text = re.sub(rf"\bNR-{number:02d}\b(?=, FS)", f"RN-{number + 20}", text)
    (shop.folder / "shop.yaml").write_text(text)
    assert not load(shop.folder).errors, load(shop.folder).errors
    bench = shop.open()
    assert bench.state.part("RN-23").passes and "NR-03" not in bench.state.parts
    bench.close()


def test_the_record_folds_to_the_same_with_and_without_a_snapshot(shop: Shop, glued: tuple[str, str]) -> None:
    shop.change_procedure(renamed(glued[1], "cut-it-out", said=True))
    bench = shop.open()
    events = bench.record.journal.after(0)
    assert sum(isinstance(event.body, Renamed) for event in events) == 1
    assert fold(events) == bench.state
    bench.close()
    again = shop.open()
    assert again.state == fold(events)
    again.close()


def test_names_are_followed_though_nothing_can_be_written(
    shop: Shop, glued: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from kiosk.record.journal import Record
    from kiosk.record.stopped import RecordingStopped

    shop.change_procedure(renamed(glued[1], "cut-it-out", said=True))

    def refuse(*_: object, **__: object) -> None:
        raise RecordingStopped("the disk is full", "make room")

    monkeypatch.setattr(Record, "transact", refuse)
    bench = shop.open()
    assert standing(bench, "FB-NR") == ("cut-it-out", ["wait"])
    bench.close()


def test_a_procedure_gone_from_the_route_is_a_question(shop: Shop) -> None:
    shop.change_procedure(lambda text: text.replace("id: form-block\n", "id: wooden-block\n", 1))
    shop.change("procedure: form-block\n", "procedure: wooden-block\n")
    bench = shop.open()
    where = bench.position("FB-NR")
    assert where.question is not None and where.question.asks == "procedure gone"
    likely = where.question.likely
    assert likely is not None and likely.procedure == "wooden-block" and likely.step != "measure-pattern"
    assert bench.position("FB-MR").step is not None, "a part not begun has no question"
    asked = bench.place_question(["FB-NR"])
    assert asked is not None and asked.first_is_likely and asked.places[0].ref == likely
    bench.answer_place("FB-NR", likely)
    assert standing(bench, "FB-NR") == (likely.step, ["wait"]), "its wait goes along"
    shop.clocks.go(60 * 24)
    do_step(bench, ["FB-NR"])
    assert bench.position("FB-NR").question is None
    bench.close()


def _two_stages(shop: Shop) -> None:
    """The block's route with a stage added in front."""
    extra = BLOCK.read_text().split("steps:\n")[0].replace("id: form-block", "id: choose-wood")
    extra += "steps:\n" + "".join(
        f"  - id: {name}\n    do: Look at the plank.\n    minutes: {{each: 2}}\n    checks:\n"
        f"      - {{id: seen, kind: yes_no, ask: Is it sound?}}\n"
        for name in ("look", "knock")
    )
    (shop.folder / "procedures" / "choose-wood.yaml").write_text(extra)
    path = shop.folder / "shop.yaml"
    path.write_text(
        path.read_text().replace(
            "      - procedure: form-block\n",
            "      - procedure: choose-wood\n      - procedure: form-block\n",
            1,
        )
    )


def test_a_stage_added_in_front_moves_nothing(shop: Shop, glued: tuple[str, str]) -> None:
    _two_stages(shop)
    bench = shop.open()
    where = bench.position("FB-NR")
    assert where.question is not None and where.question.asks == "work added"
    asked = bench.place_question(["FB-NR"])
    assert asked is not None
    assert [one.ref for one in asked.places] == [
        StepRef("form-block", glued[1]),
        StepRef("choose-wood", "look"),
    ]
    bench.answer_place("FB-NR", asked.places[0].ref)
    assert standing(bench, "FB-NR") == (glued[1], ["wait"])
    shop.clocks.go(60 * 24)
    do_step(bench, ["FB-NR"])
    assert bench.position("FB-NR").question is None
    skipped = bench.state.part("FB-NR").passes["choose-wood"]
    assert all(entry.skipped for entry in skipped.values()) and len(skipped) == 2
    bench.close()


def test_a_stage_added_in_front_can_be_done_first(shop: Shop, glued: tuple[str, str]) -> None:
    _two_stages(shop)
    bench = shop.open()
    bench.answer_place("FB-NR", StepRef("choose-wood", "look"))
    do_step(bench, ["FB-NR"])
    assert next_step(bench, "FB-NR").id == "knock", "it is asked once"
    do_step(bench, ["FB-NR"])
    assert standing(bench, "FB-NR") == (glued[1], ["wait"])
    bench.close()


def test_a_step_added_at_the_end_of_what_was_passed_is_a_question(shop: Shop) -> None:
    bench = shop.open()
    complete(bench, "FB-NR")
    while bench.position("NR-01").stage == 0:
        do_step(bench, ["NR-01"])
    do_step(bench, ["NR-01"])
    stood = bench.position("NR-01")
    assert stood.stage == 1 and stood.procedure is not None and stood.step is not None
    bench.close_sitting("")
    bench.close()
    name = "rib-blank.yaml"
    text = (data_folder("procedures") / "rib" / name).read_text()
    text += (
        "  - id: stamp-mark\n    do: Stamp the mark.\n    minutes: {each: 1}\n    checks:\n"
        "      - {id: seen, kind: yes_no, ask: Can it be read?}\n"
    )
    (shop.folder / "procedures" / name).write_text(text)
    bench = shop.open()
    where = bench.position("NR-01")
    assert where.question is not None and "'stamp-mark' is not done" in where.question.words
    assert where.question.likely == stood.procedure.ref(stood.step)
    bench.answer_place("NR-01", StepRef("rib-blank", "stamp-mark"))
    do_step(bench, ["NR-01"])
    assert bench.position("NR-01") == stood
    bench.close()


def test_answers_that_are_no_place_are_refused(shop: Shop) -> None:
    _two_stages(shop)
    bench = shop.open()
    for ref in (StepRef("form-block", "nowhere"), StepRef("rib-blank", "choose-sheet"), StepRef("x", "y")):
        with pytest.raises(Refused):
            bench.answer_place("FB-NR", ref)
    with pytest.raises(Refused, match="no open question"):
        bench.answer_place("FB-MR", StepRef("form-block", "measure-pattern"))
    bench.close()


def test_a_part_in_hand_that_left_the_roster_takes_no_act(shop: Shop) -> None:
    bench = shop.open()
    stood = bench.position("FB-MR")
    assert stood.procedure is not None and stood.step is not None
    work = bench.start(["FB-MR"], stood.procedure.id, stood.step.id)
    bench.acknowledge(work)
    check = bench.step_view(work).checks[0].id
    bench.close()
    shop.change("{first: FB-MR}", "{first: FB-XX}")
    bench = shop.open()
    acts: tuple[Callable[[], object], ...] = (
        lambda: bench.answer(work, "FB-MR", check, "yes"),
        lambda: bench.type_draft(work, "FB-MR", check, "y"),
        lambda: bench.finish(work, "FB-MR"),
    )
    for act in acts:
        with pytest.raises(Refused, match=r"FB-MR is no longer in shop\.yaml"):
            act()
    bench.close()


# What `kiosk check` and the start say


def _check(shop: Shop, capsys: Printed) -> list[str]:
    main(["check", str(shop.folder)])
    return capsys.readouterr().out.splitlines()[:-1]


def test_check_says_in_one_line_each_what_has_no_place(
    shop: Shop, glued: tuple[str, str], capsys: Printed
) -> None:
    record = (shop.folder / RECORD_FILE).read_bytes()
    assert not [line for line in _check(shop, capsys) if "FB-NR" in line]
    _two_stages(shop)
    (line,) = [line for line in _check(shop, capsys) if "FB-NR" in line]
    assert "form-block.yaml" in line or "choose-wood.yaml" in line
    assert "comes before what is done" in line and "renamed_from" in line
    shop.change("{first: FB-NR}", "{first: FB-XX}")
    (line,) = [line for line in _check(shop, capsys) if "FB-NR" in line]
    assert re.match(r"new/shop\.yaml:\d+:1: warning: FB-NR is no longer in shop\.yaml", line)
    bench = shop.open()
    assert any("FB-NR is no longer in shop.yaml" in text for text in bench.place_card().changes)
    assert not bench.place_card().clocks, "the wait of a part that is gone is not on the card"
    bench.close()
    assert record, "there was a record"


def test_check_names_a_wait_that_nothing_waits_for(
    shop: Shop, glued: tuple[str, str], capsys: Printed
) -> None:
    shop.change_procedure(renamed(glued[1], "cut-it-out", said=False))
    (line,) = [line for line in _check(shop, capsys) if "FB-NR" in line]
    assert f"no longer has the step {glued[1]!r} that waits for" in line and "form-block.yaml" in line


def test_check_says_that_a_text_changed_under_one_revision(shop: Shop, capsys: Printed) -> None:
    shop.change_procedure(lambda text: text.replace("    do: ", "    do: Now ", 1))
    (line,) = [line for line in _check(shop, capsys) if "since work was recorded" in line]
    assert re.search(r"form-block\.yaml:3:\d+: warning: step 'measure-pattern' changed since work", line)
    shop.change_procedure(lambda text: text.replace('revision: "5"', 'revision: "6"'))
    assert not [line for line in _check(shop, capsys) if "since work was recorded" in line]


def test_a_former_name_is_no_change_of_text(shop: Shop, capsys: Printed) -> None:
    shop.change_procedure(
        lambda text: text.replace(
            "  - id: measure-pattern\n", "  - id: measure-pattern\n    renamed_from: measure\n"
        )
    )
    assert not [line for line in _check(shop, capsys) if "since work was recorded" in line]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (
            "  - id: check-inset\n",
            "  - id: check-inset\n    renamed_from: measure-pattern\n",
            "something else here",
        ),
        (
            "  - id: check-inset\n",
            "  - id: check-inset\n    renamed_from: check-inset\n",
            "something else here",
        ),
        ("id: form-block\n", "id: form-block\nrenamed_from: rib-blank\n", "something else here"),
        ("id: form-block\n", "id: form-block\nrenamed_from: Form Block\n", "not a name the kiosk can use"),
    ],
)
def test_a_former_name_that_cannot_be_is_refused(shop: Shop, old: str, new: str, words: str) -> None:
    shop.change_procedure(lambda text: text.replace(old, new, 1))
    errors = load(shop.folder).errors
    assert errors and words in str(errors[0]) and errors[0].file.endswith("form-block.yaml"), errors


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("{first: FB-NR}", "{first: FB-NX, renamed_from: FB-MR}", "mark of another part"),
        ("last: NR-10", "last: NR-10, renamed_from: RIB", "does not begin a run"),
        ("  - id: nose-rib\n", "  - id: nose-rib\n    renamed_from: main-rib\n", "something else here"),
    ],
)
def test_a_former_mark_or_kind_that_cannot_be_is_refused(shop: Shop, old: str, new: str, words: str) -> None:
    shop.change(old, new)
    errors = load(shop.folder).errors
    assert any(words in str(fault) for fault in errors), errors


# A count that was lowered


def test_a_count_lowered_under_what_is_done_is_said_and_can_be_finished(demo_shop: Path) -> None:
    bench = Bench(demo_shop)
    work = bench.state.last_work
    assert work is not None
    piece = bench.state.works[work].pieces[0]
    bench.close()
    path = demo_shop / "shop.yaml"
    text = path.read_text()
    kind = "  - id: nose-rib\n"
    at = text.index("      flutes:", text.index(kind))
    end = text.index("\n", at)
    path.write_text(f"{text[:at]}      flutes: {piece.count - 2}{text[end:]}")
    bench = Bench(demo_shop)
    card = bench.place_card()
    assert card.count is not None
    assert card.count.words == f"{piece.count} flutes counted, and {piece.count - 2} are wanted now"
    if bench.state.works[work].status == "unknown":
        bench.looked(work, as_shown=True)
    else:
        bench.take_up(work)
    bench.acknowledge(work)
    bench.count(work, piece.mark, piece.count - 1)
    with pytest.raises(Refused, match="cannot go further"):
        bench.count(work, piece.mark, piece.count)
    bench.close()


# An answer whose check the file has no more


OLD_ASK = "Does the strip just cover the space between the two lines along every flange?"
NEW_ASK = "Does the strip cover the space all round?"


def _answered_then_changed(shop: Shop, change: Callable[[str], str]) -> tuple[Bench, str]:
    """FB-TR is asked whether the strip covers the space, gets a yes, and the file is another at the start."""
    bench = shop.open()
    do_step(bench, ["FB-TR"])
    work = bench.start(["FB-TR"], "form-block", "check-inset")
    bench.acknowledge(work)
    bench.answer(work, "FB-TR", "inset", "yes")
    bench.close_sitting("")
    bench.close()
    shop.change_procedure(change)
    return shop.open(), work


def _another_check(text: str) -> str:
    changed = text.replace(
        f'{{id: inset, kind: yes_no, ask: "{OLD_ASK}"}}', f'{{id: all-round, kind: yes_no, ask: "{NEW_ASK}"}}'
    )
    assert changed != text
    return changed


def test_an_answer_to_a_check_that_is_no_more_is_told_and_the_new_one_asked(shop: Shop) -> None:
    bench, work = _answered_then_changed(shop, _another_check)
    view = bench.step_view(work)
    assert view.no_longer_asked == (f"YES was answered to a check that is asked no more: {OLD_ASK}",)
    assert [(one.ask, one.state_word) for one in view.checks] == [(NEW_ASK, "OPEN")]
    bench.take_up(work)
    with pytest.raises(Refused):
        bench.finish(work, "FB-TR")
    bench.answer(work, "FB-TR", "all-round", "yes")
    assert bench.step_view(work).no_longer_asked == view.no_longer_asked, "until the step is done"
    bench.close()


def test_one_whose_words_are_others_is_asked_again_and_what_was_answered_stays_in_sight(shop: Shop) -> None:
    """Free of cracks, cracked: a yes to the one is a no to the other."""
    turned = OLD_ASK.replace("just cover", "miss")
    bench, work = _answered_then_changed(shop, lambda text: text.replace(OLD_ASK, turned))
    told = f"YES was answered to a check that is asked otherwise now: {OLD_ASK}"
    view = bench.step_view(work)
    assert view.no_longer_asked == (told,)
    assert [(one.ask, one.state_word) for one in view.checks] == [(turned, "OPEN")]
    bench.take_up(work)
    with pytest.raises(Refused, match="still open"):
        bench.finish(work, "FB-TR")
    with pytest.raises(Refused, match="was taken back"):  # by who still sees the answer to the old words
        bench.answer(work, "FB-TR", "inset", "no", in_place_of="yes")
    bench.answer(work, "FB-TR", "inset", "yes", in_place_of="")
    assert bench.step_view(work).no_longer_asked == (told,), "until the step is done"
    undo_newest(bench)
    assert bench.step_view(work).no_longer_asked == (told,)
    assert bench.step_view(work).checks[0].state_word == "OPEN"
    bench.answer(work, "FB-TR", "inset", "yes")
    bench.finish(work, "FB-TR")
    bench.close()


def test_other_white_space_is_the_same_question(shop: Shop) -> None:
    broken = OLD_ASK.replace("just cover", "just\n          cover")
    bench, work = _answered_then_changed(shop, lambda text: text.replace(OLD_ASK, broken))
    view = bench.step_view(work)
    assert view.no_longer_asked == () and [one.state_word for one in view.checks] == ["GOOD"]
    bench.close()


def test_set_back_before_anybody_answers_anew_the_answer_stands_again(shop: Shop) -> None:
    bench, work = _answered_then_changed(shop, lambda text: text.replace(OLD_ASK, NEW_ASK))
    bench.close()
    shop.change_procedure(lambda text: text.replace(NEW_ASK, OLD_ASK))
    bench = shop.open()
    assert [one.state_word for one in bench.step_view(work).checks] == ["GOOD"]
    bench.close()


def test_a_typing_error_mended_takes_no_answer_from_a_step_that_is_done(shop: Shop) -> None:
    bench, work = _answered_then_changed(shop, lambda text: text)
    bench.take_up(work)
    bench.finish(work, "FB-TR")
    before = bench.state.part("FB-TR")
    bench.close()
    shop.change_procedure(lambda text: text.replace(OLD_ASK, OLD_ASK.replace("strip", "gauge strip")))
    bench = shop.open()
    now = bench.state.part("FB-TR")
    assert (now.passes, now.measured) == (before.passes, before.measured)
    where = bench.position("FB-TR")
    assert where.question is None and where.step is not None and where.step.id != "check-inset"
    bench.close()


@pytest.mark.parametrize(
    ("asked", "unit", "same"),
    [
        ("Gap at the left end", "in", True),
        ("Gap  at the\nleft end ", "in", True),
        ("Gap at the right end", "in", False),
        ("Gap at the left end", "deg", False),
        ("Gap at the left end", "", False),  # a yes or a no
        ("", "in", True),  # its kiosk did not say
    ],
)
def test_an_answer_stands_for_its_question_and_its_unit(asked: str, unit: str, *, same: bool) -> None:
    value = None if unit == "" else 0.025
    check = MeasureCheck(
        kind="measure", id="left", ask="Gap at the left end", unit="in", low="0", high="1/32"
    )
    given = Answer(".025" if value else "yes", value, passed=True, ask=asked, unit=unit)
    assert (Piece("BR-01", answers={"left": given}).answer_to(check) is given) is same


def test_a_figure_of_which_no_unit_is_recorded_stands() -> None:
    check = MeasureCheck(
        kind="measure", id="left", ask="Gap at the left end", unit="in", low="0", high="1/32"
    )
    given = Answer(".025", 0.025, passed=True, ask="Gap at the left end")
    assert Piece("BR-01", answers={"left": given}).answer_to(check) is given


def test_a_record_that_does_not_say_the_question_names_the_check(shop: Shop) -> None:
    """What an older kiosk wrote has no words of the question."""
    bench, work = _answered_then_changed(shop, _another_check)
    piece = bench.work(work).pieces[0]
    piece.answers["inset"] = replace(piece.answers["inset"], ask="")
    assert bench.step_view(work).no_longer_asked == (
        "YES was answered to a check that is asked no more: inset",
    )
    bench.close()
