"""Slips that once went through the whole suite unseen: each is made in a copy, and its test has to fail.

Run by hand, not by pytest: ``python -m tests.mutation.known_mutants [word …]`` tries those whose name holds
every word, all when there is none. A test that fails in a copy without a slip is said too. That each row
still fits the code is looked at in the suite (``test_rows.py``).
"""

import os
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
_COPIED = ("kiosk", "tests", "procedures", "scenarios", "pyproject.toml", "README.md", "DEVELOPERS.md")


@dataclass(frozen=True)
class Mutant:
    """One slip: a text of a file under ``kiosk/``, what stands there instead, and the test that sees it."""

    name: str
    file: str
    text: str
    instead: str
    test: str


AUTHORITY = "tests/record/test_authority.py"
READINESS = "tests/record/test_readiness.py"
EDGES = "tests/record/test_rule_edges.py"
TOGETHER = "tests/record/test_together.py"

MUTANTS = (
    Mutant(
        "minimum age",
        "record/authority.py",
        "if age < hazard.min_age_operate and",
        "if False and",
        f"{AUTHORITY}::test_a_hazard_is_for_those_old_enough_and_for_nobody_younger",
    ),
    Mutant(
        "not yet",
        "record/authority.py",
        "if tag in person.not_yet:",
        "if False:",
        f"{AUTHORITY}::test_what_somebody_does_not_do_yet_is_barred_at_any_age",
    ),
    Mutant(
        "raised age to do it",
        "shop/shop.py",
        "max(hazard.min_age_operate, raised.min_age_operate or 0)",
        "hazard.min_age_operate",
        "tests/shop/test_hazards.py",
    ),
    Mutant(
        "raised age to be in the room",
        "shop/shop.py",
        "max(hazard.min_age_present, raised.min_age_present or 0)",
        "hazard.min_age_present",
        "tests/shop/test_hazards.py",
    ),
    Mutant(
        "a helper with the builder is alone",
        "record/authority.py",
        'if step.who == "helper with the builder" and not any(',
        'if step.who == "helper with the builder" and False and not any(',
        f"{AUTHORITY}::test_a_helper_with_the_builder_needs_the_builder_at_the_bench",
    ),
    Mutant(
        "PIN",
        "record/rules/pin.py",
        "if not right:",
        "if False:",
        f"{AUTHORITY}::test_a_pin_guards_the_hands_and_the_coming_of_a_builder",
    ),
    Mutant(
        "a newcomer inherits a cleared room",
        "record/apply.py",
        "people=(*state.sitting.people, body.person), cleared=())",
        "people=(*state.sitting.people, body.person))",
        f"{AUTHORITY}::test_a_room_is_to_be_cleared_again_when_somebody_comes",
    ),
    Mutant(
        "missing tool",
        "record/readiness.py",
        "if tool is None or tool.have < 1:",
        "if tool is None:",
        f"{READINESS}::test_a_tool_that_is_not_there_stops_the_step",
    ),
    Mutant(
        "used-up stock",
        "record/readiness.py",
        "if stock.left <= 0:",
        "if False:",
        f"{READINESS}::test_what_is_used_up_stops_the_step",
    ),
    Mutant(
        "expired stock",
        "record/readiness.py",
        "item.expires is not None and item.expires < context.today",
        "False",
        f"{READINESS}::test_what_is_past_its_date_stops_the_step_from_the_day_after",
    ),
    Mutant(
        "temperature",
        "record/readiness.py",
        "(conditions.temperature_f, state.temperature_f,",
        "(None, state.temperature_f,",
        f"{READINESS}::test_the_rooms_air_must_be_read_and_within_both_limits",
    ),
    Mutant(
        "humidity",
        "record/readiness.py",
        "(conditions.humidity_percent, state.humidity_percent,",
        "(None, state.humidity_percent,",
        f"{READINESS}::test_the_rooms_air_must_be_read_and_within_both_limits",
    ),
    Mutant(
        "sheet of the wrong alloy",
        "shop/lots.py",
        "lot.alloy == material.alloy",
        "True",
        f"{READINESS}::test_a_sheet_of_another_alloy_is_out_though_its_thickness_is_right",
    ),
    Mutant(
        "a helper completes a part",
        "record/rules/parts.py",
        '@act("the builder")\ndef complete(',
        '@act("whoever is here")\ndef complete(',
        f"{EDGES}::test_a_part_is_completed_by_the_builder_and_looked_over_first",
    ),
    Mutant(
        "a part completed with unlooked work",
        "record/rules/parts.py",
        "if context.state.part(mark).wants_look:",
        "if False:",
        f"{EDGES}::test_a_part_is_completed_by_the_builder_and_looked_over_first",
    ),
    Mutant(
        "a second look without a finding",
        "record/rules/parts.py",
        "if not are_words(context.shop, finding):",
        "if False:",
        f"{AUTHORITY}::test_a_second_look_is_an_adults_who_is_here_and_says_what_was_seen",
    ),
    Mutant(
        "a wrong PIN costs no wait",
        "record/pins.py",
        "if wrong <= FREE_TRIES:",
        "if True:",
        "tests/record/test_pins.py",
    ),
    Mutant(
        "a wait is forgotten at a restart",
        "record/rules/pin.py",
        "context.wrong_seen_s.get(person.id, now)",
        "float('-inf')",
        "tests/record/test_pins.py",
    ),
    Mutant(
        "a child becomes an adult by a press",
        "record/rules/people.py",
        "return is_adult(context, doer) or age <= doer.age(context.today)",
        "return True",
        "tests/record/test_pins.py",
    ),
    Mutant(
        "used as is without the designer",
        "record/rules/snags.py",
        'decision == "use as is" or',
        "False or",
        "tests/record/test_holds.py",
    ),
    Mutant(
        "who did the work looks at it",
        "record/rules/parts.py",
        "if _did_last(context.state, mark) == looker.id:",
        "if False:",
        "tests/record/test_holds.py",
    ),
    Mutant(
        "the first choice is chosen beforehand",
        "screens/choice.py",
        "self.at: int | None = 0 if goes and self.choices else None",
        "self.at: int | None = 0 if self.choices else None",
        "tests/screens/test_nothing_chosen.py",
    ),
    Mutant(
        "cautions that were not shown are read",
        "record/rules/steps.py",
        "missing = [text for text in texts if text not in shown]",
        "missing: list[str] = []",
        "tests/record/test_holds.py",
    ),
    Mutant(
        "put back after counting",
        "record/rules/steps.py",
        "if any(piece_in_hand(work, mark).is_begun for mark in leave or work.marks):",
        "if False:",
        f"{EDGES}::test_what_was_begun_on_is_not_put_back_as_not_begun",
    ),
    Mutant(
        "a person's minute counts at two steps",
        "record/rules/steps.py",
        'if work.status == "running" and work.worker == person and work.id != but',
        "if False",
        "tests/record/minutes/test_hands_at_once.py",
    ),
    Mutant(
        "an undo sets a step running in the hands of somebody who has gone",
        "record/rules/parts.py",
        "if work.worker == context.doer.id and not runs",
        "if not runs",
        "tests/record/minutes/test_what_an_undo_gives_back.py",
    ),
    Mutant(
        "an undo of one piece gives the whole step to who had it before",
        "record/apply.py",
        "hands=before.hands if now is None else now.hands",
        "hands=before.hands",
        "tests/record/minutes/test_what_an_undo_gives_back.py",
    ),
    Mutant(
        "a tablet that dies takes along what was begun at the wall",
        "record/state.py",
        'frozenset({self.run, self.taken_up_in} - {""})',
        "frozenset({self.run})",
        "tests/record/test_presence.py",
    ),
    Mutant(
        "what a dead screen left unknown is forgotten in the call to put away",
        "planning/put_away.py",
        'if work.status != "paused"',
        'if work.status == "running"',
        "tests/screens/test_several_at_work.py",
    ),
    Mutant(
        "what an undo takes back stays out on the bench",
        "record/apply.py",
        "    _back_in_its_place(state, body.event)\n",
        "",
        "tests/record/test_put_back.py::test_what_an_undo_takes_back_is_not_out_on_the_bench",
    ),
    Mutant(
        "all finger taps dead",
        "screens/target.py",
        "self.post_message(self.Pressed(self.action))",
        "pass",
        "tests/screens/test_targets.py::test_the_row_of_places_leads_everywhere",
    ),
    Mutant(
        "pedal key ignored",
        "screens/base.py",
        "if key == self.kiosk.taps.pedal and not types_blank:",
        "if False:",
        "tests/screens/test_scanner_and_pedal.py::test_the_pedal_does_the_big_action_of_every_screen",
    ),
    Mutant(
        "scanner's paste ignored",
        "screens/base.py",
        "if not is_too_small(self.app.size):\n            self.kiosk.find_scanned(text)",
        "pass",
        "tests/screens/test_scanner_and_pedal.py::test_a_scanner_that_pastes_opens_the_part_and_presses_nothing_else",
    ),
    Mutant(
        "second live screen cut off",
        "record/presence.py",
        "return any(alive)",
        "return False",
        "tests/record/test_presence.py::test_a_second_screen_joins_and_cuts_nothing_off",
    ),
    Mutant(
        "a killed screen's step stays in hand on the other",
        "record/presence.py",
        "return run == self._path.name or _is_held(self._folder / run)",
        "return True",
        "tests/record/test_presence.py::test_a_killed_screens_step_is_unknown_on_the_other_at_the_next_poll",
    ),
    Mutant(
        "a lost end is not noticed",
        "record/witness.py",
        "if last.seq < head.seq:",
        "if last.seq > head.seq + 10**9:",
        "tests/record/test_witness.py::test_a_deleted_wal_is_a_lost_end",
    ),
    Mutant(
        "a missing record is begun anew in silence",
        "record/witness.py",
        "    if holds_something(path):\n        return",
        "    return",
        "tests/record/test_witness.py::test_a_missing_or_empty_record_is_not_begun_anew",
    ),
    Mutant(
        "what is written into a removed file is acknowledged",
        "record/journal.py",
        "if self._files_now() == self._files:",
        "if True:",
        "tests/record/test_witness.py::test_a_record_replaced_while_open_is_noticed",
    ),
    Mutant(
        "a used tap is dropped without a word",
        "record/journal.py",
        "if was != act:",
        "if was is None:",
        "tests/record/test_journal.py::test_a_used_tap_is_refused_for_another_act_and_not_dropped",
    ),
    Mutant(
        "a copy that is not whole is kept",
        "record/copies.py",
        "if not chain.whole:",
        "if chain is None:",
        "tests/record/test_copies.py::test_a_damaged_record_makes_no_copy_and_lets_go_of_none",
    ),
    Mutant(
        "what is half done is not said at closing",
        "views/close_up.py",
        '        elif step.stop == "between pieces" and touched:',
        '        elif step.stop == "between pieces" and not touched:',
        "tests/views/test_close_up.py",
    ),
    Mutant(
        "OUT OF LIMITS dropped from the logbook",
        "logbook/history.py",
        'of_limits = "" if given.passed else " OUT OF LIMITS"',
        'of_limits = ""',
        "tests/logbook/test_logbook.py::test_an_answer_out_of_limits_says_so_and_one_within_does_not",
    ),
    Mutant(
        "a batch's sheet stands under its first part alone",
        "logbook/index.py",
        "            for other in marks:",
        "            for other in ():",
        "tests/logbook/test_what_an_inspector_reads.py",
    ),
    Mutant(
        "what was taken back is not struck through in the logbook",
        "logbook/history.py",
        "struck=entry.ended",
        "struck=False",
        "tests/logbook/test_logbook.py::test_what_was_taken_back_stays_and_says_so",
    ),
    Mutant(
        "the logbook says today's words of old steps",
        "logbook/entries.py",
        "            if found is not None:",
        "            if False and found is not None:",
        "tests/logbook/test_words_of_the_time.py",
    ),
    Mutant(
        "linter returns nothing",
        "shop/lint.py",
        "    verbs = VERBS.union(own_verbs)\n    for wrong",
        "    return\n    for wrong",
        "tests/shop/test_lint.py",
    ),
    Mutant(
        "left alone: a sitting that is never closed goes on",
        "record/sittings.py",
        "return quiet_s >= (LEFT_ALONE_AT_A_STEP_S if at_a_step else LEFT_ALONE_S)",
        "return False",
        "tests/record/test_left_alone.py",
    ),
    Mutant(
        "left alone: it ends with the press that comes back",
        "record/apply.py",
        "if body.left_alone and state.last_tap is not None:",
        "if False:",
        "tests/record/test_left_alone.py",
    ),
    Mutant(
        "left alone: a guarded screen that rested",
        "bench.py",
        "if self.state.secret_of(before) or is_guarded(self.context):",
        "if False:",
        "tests/record/test_left_alone.py",
    ),
    Mutant(
        "left alone: anybody leaves the wall",
        "screens/app.py",
        'return bool(self.record_gone) or not self.bench.may_not("close_up")',
        "return True",
        "tests/screens/test_left_alone.py",
    ),
    Mutant(
        "a child's hands set the builder's first PIN",
        "record/rules/people.py",
        "if not may_set_pin(context, person):",
        "if False:",
        "tests/record/test_pins.py::test_the_first_pin_is_not_set_by_a_childs_hands",
    ),
    Mutant(
        "a shortened hash fits",
        "record/pins.py",
        "len(wanted) >= _HASH_BYTES and ",
        "",
        "tests/record/test_pins.py::test_a_pin_is_salted_and_nothing_fits_what_cannot_be_read",
    ),
    Mutant(
        "a batch is cut by kind where it is mixed for",
        "record/batch.py",
        "go_together(shop, [mark for mark, _ in standing], ref)",
        "False",
        f"{TOGETHER}::test_ribs_and_clips_go_under_one_mixture",
    ),
    Mutant(
        "two finishes go under one mixture, by the limits of the first",
        "record/together.py",
        "yield kind.finish  #",
        'yield ""  #',
        f"{TOGETHER}::test_two_finishes_are_never_one_mixture",
    ),
    Mutant(
        "31 ml to pour are told as 19",
        "record/together.py",
        'return shop.figures.number(kind, BLANK_LENGTH, "in") * shop.figures.number(kind, BLANK_WIDTH, "in")',
        "return 0.0",
        f"{TOGETHER}::test_ribs_and_clips_go_under_one_mixture",
    ),
    Mutant(
        "what a file told apart meanwhile is finished together",
        "record/rules/steps.py",
        "if together and not go_together(context.shop, work.marks, work.ref):",
        "if False:",
        f"{TOGETHER}::test_what_is_told_apart_while_it_is_in_hand_is_not_finished_together",
    ),
    Mutant(
        "what was poured is not recorded",
        "record/rules/steps.py",
        "        figures=tuple(_figures(context.shop, step, judged.mark, things)),\n",
        "",
        f"{TOGETHER}::test_ribs_and_clips_go_under_one_mixture",
    ),
    Mutant(
        "a second part is glued on the only jig",
        "record/readiness.py",
        "if least is None or least.free > 0 or not least.held_by:",
        "if True:",
        "tests/record/test_holding.py::test_the_only_jig_is_held_until_the_wait_is_over_and_it_is_taken_off",
    ),
    Mutant(
        "the advice glues a second part on the only jig",
        "planning/choose/option.py",
        "if not _tools_suffice([option.hold for _, option in picked if option.hold is not None]):",
        "if False:",
        "tests/planning/test_slots.py::test_two_that_keep_the_only_jig_do_not_stand_side_by_side",
    ),
    Mutant(
        "a correction is undone before what corrected it",
        "record/rules/parts.py",
        "if strip.event == entry.event and strip.retracted_by:",
        "if False:",
        "tests/record/test_trials.py::test_a_correction_is_undone_only_after_what_corrected_it",
    ),
    Mutant(
        "a helper's step moves the builder's place",
        "views/place_card.py",
        "if paused is not None and last is None and _only_others_went_on(context, paused):",
        "if False:",
        "tests/record/test_batches.py::test_what_a_helper_did_meanwhile_does_not_move_the_builders_place",
    ),
    Mutant(
        "one tap has a step looked over done again",
        "screens/look_over.py",
        "        if good:\n            then(True)\n            return\n",
        "        then(good)\n        return\n",
        "tests/screens/test_looking_back.py::test_no_tap_on_one_spot_says_that_it_is_to_do_again",
    ),
    Mutant(
        "the press that wakes the wall does something",
        "screens/quiet.py",
        "return waking",
        "return False",
        "tests/screens/test_on_the_wall.py::test_what_still_comes_of_the_waking_press_is_swallowed",
    ),
    Mutant(
        "a page of http is let in for one of https",
        "tablet/addresses.py",
        '"" if self._is_public(host) else ',
        "",
        "tests/tablet/test_addresses.py::test_only_its_own_pages_may_ask",
    ),
)


def copy_tree(to: Path) -> None:
    """A copy to make slips in."""
    for name in _COPIED:
        here = ROOT / name
        if here.is_dir():
            shutil.copytree(here, to / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(here, to / name)


def passes(tree: Path, *tests: str) -> bool:
    """True when these tests pass in a tree."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    # No compiled files: two slips within a second could be taken for one another.
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(command, cwd=tree, env=environment, capture_output=True, text=True, check=False)
    if done.returncode not in (0, 1):  # no such test, or pytest itself failed
        raise RuntimeError(done.stdout + done.stderr)
    return done.returncode == 0


def try_mutant(tree: Path, mutant: Mutant) -> bool:
    """True when the test fails with the slip. Raises LookupError when its text is not there once."""
    path = tree / "kiosk" / mutant.file
    before = path.read_text(encoding="utf-8")
    if before.count(mutant.text) != 1:
        raise LookupError(f"kiosk/{mutant.file} holds {mutant.text!r} {before.count(mutant.text)} times")
    path.write_text(before.replace(mutant.text, mutant.instead), encoding="utf-8")
    try:
        return not passes(tree, mutant.test)
    finally:
        path.write_text(before, encoding="utf-8")


def main(words: list[str]) -> int:
    """Try the mutants whose name holds every word; gives 1 when one survived."""
    chosen = [mutant for mutant in MUTANTS if all(word in mutant.name for word in words)]
    if not chosen:
        print(f"no mutant has a name with {' '.join(words)}")
        return 2
    survived = 0
    with tempfile.TemporaryDirectory() as name:
        tree = Path(name)
        copy_tree(tree)
        if not passes(tree, *dict.fromkeys(mutant.test for mutant in chosen)):
            print("the tests fail without any slip")
            return 1
        for mutant in chosen:
            killed = try_mutant(tree, mutant)
            survived += not killed
            print(f"{'killed' if killed else 'SURVIVED':<8}  {mutant.name:<40}  {mutant.test}", flush=True)
    print(f"{len(chosen) - survived} of {len(chosen)} killed")
    return 1 if survived else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
