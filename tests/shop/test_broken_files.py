# ruff: noqa: E501
"""Deliberately broken files: each fault is found on its line, in one clear line of text."""

import shutil
from pathlib import Path

import pytest

from kiosk.shop.data import data_folder
from kiosk.shop.load import load

PROCEDURE = """\
id: test-work
title: Test work
revision: "1"
revised: 2031-01-01
reason: first issue
sources: [common practice]
steps:
  - id: first
    do: Mark the line.
    minutes: {each: 2}
    checks:
      - {id: seen, kind: yes_no, ask: Is the line there?}
  - id: second
    do: Cut the line.
    minutes: {each: 3}
    tools: [hand-shear]
    numbers:
      - {calculator: setback, inputs: {thickness: .025, inside_radius: 1/8}}
    checks:
      - {id: size, kind: measure, ask: Width, nominal: "1", plus: ".01", minus: ".01"}
"""

# name, what is replaced, by what, the line of the fault, words in the message
PROCEDURE_CASES = [
    ("unknown key", "    do: Cut", "    doo: Cut", 14, "unknown key 'doo'"),
    ("missing do", "    do: Cut the line.\n", "", 13, "'do' is missing"),
    ("duplicate key", '    do: Cut the line.', '    do: Cut the line.\n    do: Cut it.', 15, "first on line 14"),
    ("unknown calculator", "calculator: setback", "calculator: setbak", 18, "did you mean 'setback'"),
    ("unknown input", "inside_radius: 1/8", "radius: 1/8", 18, "setback has no input 'radius'"),
    ("missing input", ", inside_radius: 1/8", "", 18, "setback needs inside_radius"),
    ("unknown check kind", "kind: measure", "kind: measured", 20, "'measured' is not known"),
    ("check without limits", ', nominal: "1", plus: ".01", minus: ".01"', "", 20, "no limits"),
    ("nominal without tolerance", ', plus: ".01", minus: ".01"', "", 20, "no tolerance"),
    ("bad minutes", "minutes: {each: 3}", "minutes: {each: soon}", 15, "'soon' is not a time"),
    ("unknown hazard", "    tools: [hand-shear]", "    hazards: [SHARP]", 16, "unknown hazard 'SHARP'"),
    ("duplicate step id", "id: second", "id: first", 13, "step 'first' is here twice"),
    ("unclosed quote", 'title: Test work', 'title: "Test work', 2, "never closed"),
    ("unclosed bracket", "tools: [hand-shear]", "tools: [hand-shear", 16, "never closed"),
    ("tab indent", "    tools: [hand-shear]", "\ttools: [hand-shear]", 16, "indent with spaces"),
    ("second colon", "title: Test work", "title: Test: work", 2, "second colon"),
    ("anchor", "title: Test work", "title: &a Test work", 2, "anchor &a is refused"),
    ("alias", "reason: first issue", "reason: *a", 5, "alias *a is refused"),
    ("tag", "title: Test work", "title: !!python/name:os.system x", 2, "is refused"),
    ("second document", "steps:\n", "---\nsteps:\n", 7, "second document"),
    ("wait for an unknown step", "    tools: [hand-shear]",
     "    waits: [{what: dry, must_pass: 5, before: third}]", 16, "unknown step 'third'"),
    ("unreachable: waits for an earlier step", "    tools: [hand-shear]",
     "    waits: [{what: dry, must_pass: 5, before: first}]", 16, "can never be reached"),
    ("a limit with neither end", "    tools: [hand-shear]",
     "    waits: [{what: dry, within: 5, if_missed: Again}]", 16, "within ends with the step at begin: or"),
    ("a limit with both ends", "    tools: [hand-shear]",
     "    waits: [{what: dry, within: 5, begin: a, finish: b, if_missed: Again}]", 16, "one of the two"),
    ("a limit without what to do", "    tools: [hand-shear]",
     "    waits: [{what: dry, within: 5, finish: first}]", 16, "within needs if_missed:"),
    ("a limit on an unknown step", "    tools: [hand-shear]",
     "    waits: [{what: dry, within: 5, finish: third, if_missed: Again}]", 16, "unknown step 'third'"),
    ("back to an unknown step", "    minutes: {each: 2}\n",
     "    minutes: {each: 2}\n    waits: [{what: dry, within: 5, finish: second, if_missed: Again, back_to: frist}]\n",
     11, "did you mean 'first'"),
    ("back to a later step", "    minutes: {each: 2}\n",
     "    minutes: {each: 2}\n    waits: [{what: dry, within: 5, finish: second, if_missed: Again, back_to: second}]\n",
     11, "comes after the step that starts this clock"),
    ("a wait that goes back", "    minutes: {each: 2}\n",
     "    minutes: {each: 2}\n    waits: [{what: dry, must_pass: 5, before: second, back_to: first}]\n",
     11, "back_to goes with within:"),
    ("two stops", "    tools: [hand-shear]", "    stop: sometimes", 16, "'sometimes' is not known"),
    ("goes straight on to nothing", "    tools: [hand-shear]", "    stop: go straight on", 16, "to nothing"),
    ("no id", "id: test-work\n", "", 1, "'id' is missing"),
    ("list for text", "title: Test work", "title: [Test, work]", 2, "is a list or a map"),
    ("empty title", "title: Test work", 'title: ""', 2, "is empty"),
    ("bad id", "id: test-work", "id: Test Work", 1, "not a name the kiosk can use"),
    ("a number that is no map", "      - {calculator: setback, inputs: {thickness: .025, inside_radius: 1/8}}", "      - setback", 18, "write it as {key: value}"),
    ("a list that is none", "tools: [hand-shear]", "tools: hand-shear", 16, "write it as [first, second]"),
    ("an empty limit", 'nominal: "1"', 'nominal: ""', 20, "'nominal' is empty"),
    ("a list for a limit", 'nominal: "1"', "nominal: [1]", 20, "'nominal' is a list or a map"),
    ("a comma without quotes", "thickness: .025,", "thickness: .025, .032, .040,", 18, "put the text in quotes"),
    ("a number and a dimension", "{calculator: setback,", "{calculator: setback, dimension: chord,", 18, "unknown key 'dimension'; use one of calculator, figure, inputs"),
    ("two homes", 'nominal: "1"', "nominal: {of: x, dimension: y, calculator: z}", 20, "calculator and of stand here; delete all but one"),
    ("a misspelt home", 'nominal: "1"', "nominal: {off: x, dimension: y}", 20, "unknown key 'off'; did you mean 'of'?"),
    ("a misspelt calculator", 'nominal: "1"', "nominal: {calculater: x, inputs: {}}", 20, "did you mean 'calculator'?"),
    ("a dimension of nobody", 'nominal: "1"', "nominal: {dimension: y}", 20, "'of' is missing"),
    ("inputs of nothing", 'nominal: "1"', "nominal: {inputs: {a: b}}", 20, "'calculator' is missing"),
    ("plans alone", 'nominal: "1"', "nominal: {plans: 5.5}", 20, "plans: stands alone"),
    ("an empty map", 'nominal: "1"', "nominal: {}", 20, "nothing is written here"),
    ("a key of another home", 'nominal: "1"', "nominal: {rib: flutes, dimension: y}", 20, "unknown key 'dimension'; use one of plans, rib"),
    ("no steps", PROCEDURE[PROCEDURE.index("steps:") :], "steps: []\n", 7, "'steps' is empty"),
]  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(data_folder("scenarios") / "brambling", tmp_path / "shop")
    (tmp_path / "shop" / "procedures").mkdir()
    return tmp_path / "shop"


@pytest.mark.parametrize(
    ("old", "new", "line", "words"), [case[1:] for case in PROCEDURE_CASES],
    ids=[case[0] for case in PROCEDURE_CASES],
)  # fmt: skip
def test_a_broken_procedure_is_named_by_its_line(
    folder: Path, old: str, new: str, line: int, words: str
) -> None:
    assert old in PROCEDURE
    (folder / "procedures" / "test.yaml").write_text(PROCEDURE.replace(old, new, 1))
    faults = [fault for fault in load(folder).errors if fault.file.endswith("test.yaml")]
    assert faults, "nothing was found"
    assert [fault.line for fault in faults] == [line], faults
    assert words in str(faults[0])
    assert faults[0].mend and "\n" not in str(faults[0])


# what is replaced in shop.yaml, by what, the text whose line is to be named, words in the message
SHOP_CASES = [
    ("unknown procedure", "procedure: rib-straighten", "procedure: rib-straiten", None, "did you mean"),
    ("unknown needed kind", "needs: {block-nose: 1}", "needs: {block-nos: 1}", None, "'block-nose'"),
    ("needs more than there are", "needs: {block-nose: 1}", "needs: {block-nose: 3}", None, "3 of"),
    ("wrong dimension", "      flange_width: 5/8", "      flange_width: five", None, "flange_width"),
    ("missing dimension", "      flange_rivets: {rib: rivets}\n", "", "    dimensions:", "no dimension 'flange_rivets'"),
    ("dimension out of range", "      bend_radius: 1/8", "      bend_radius: 20", None, "outside 0 to 10"),
    ("count that is no count", "      spar_rivets: 5", "      spar_rivets: 5.5", None, "not a count"),
    ("two thicknesses", "      flange_width: 5/8", "      thickness: .040", None, "write it under material only"),
    ("two alloys", "      flange_width: 5/8", "      alloy: 6061-T6", None, "write it under material only"),
    ("no thickness", "material: {alloy: 2024-T3, thickness: .032}", "material: {alloy: 2024-T3}", None, "add thickness: … under its material"),
    ("a blank length that is none", "      blank_length: 11 ft 8", "      blank_length: 11 feet 8", None, "'11 feet 8' is not a length"),
    ("a blank width that is none", "      blank_width: flat_width", "      blank_width: wide", None, "'wide' is not a length"),
    ("a blank of no size", "      blank_length: 11 ft 8", "      blank_length: 0", None, "no blank"),
    ("an unknown grain", "      grain: along", "      grain: sideways", None, "write along, across or any"),
    ("a blank without a width", "      blank_width: flat_width\n", "", "      blank_length: 11 ft 8", "without blank_width"),
    ("a blank without a length", "      blank_length: 11 ft 8\n", "", "      blank_width: flat_width", "without blank_length"),
    ("a blank without an alloy", "{alloy: 2024-T3, thickness: .032}", "{thickness: .032}", "      blank_length: 11 ft 8", "no alloy, so it is not on the cutting list"),
    ("mark twice", "{first: FS-02,", "{first: FS-01,", None, "already a 'front-spar'"),
    ("run backwards", "first: NR-01, last: NR-10", "first: NR-10, last: NR-01", None, "runs backwards"),
    ("unknown part built in", "made_from: [NR-01, FS-01]", "made_from: [NR-91, FS-01]", None, "NR-91"),
    ("age lowered", "min_age_operate: 18", "min_age_operate: 12", None, "raised, not lowered"),
    ("unknown hazard", "not_yet: [PRESS]", "not_yet: [PRES]", None, "'PRESS'"),
    ("bad clock", 'start: "20:30"', 'start: "half nine"', None, "not a time of day"),
    ("nobody builds", "role: builder", "role: helper", "people:", "role builder"),
    ("circle", "procedure: form-block", "procedure: form-block\n        needs: {nose-rib: 1}",
     "      - procedure: form-block", "goes round in a circle"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "at", "words"), [case[1:] for case in SHOP_CASES], ids=[case[0] for case in SHOP_CASES]
)
def test_a_broken_shop_is_named_by_its_line(
    folder: Path, old: str, new: str, at: str | None, words: str
) -> None:
    path = folder / "shop.yaml"
    before = path.read_text()
    assert old in before
    path.write_text(before.replace(old, new, 1))
    errors = load(folder).errors
    assert errors, "nothing was found"
    matching = [fault for fault in errors if words in str(fault)]
    assert matching, errors
    fault = matching[0]
    if at is not None and at.endswith(".yaml:"):
        assert at[:-1] in fault.file
        return
    changed = path.read_text().splitlines()
    named = changed[fault.line - 1]
    wanted = (at or new).splitlines()[0].strip()
    if at == "    dimensions:":
        wanted = "dimensions:"
        assert "nose rib" in "\n".join(changed[fault.line - 6 : fault.line])
    if at is not None and at.strip().startswith("- procedure"):
        wanted = "route:"
    assert wanted in named, f"named line {fault.line}: {named}"


@pytest.mark.parametrize(
    ("old", "new", "at", "words"),
    [
        ("chord: 50", "chord: fifty", "chord: fifty", "fifty"),
        ("      skin: .025\n", "", 'section: "2412"', "skin"),
        (
            ", thickness: .025}\n    # Leading",
            "}\n    # Leading",
            "material: {alloy: 2024-T3}",
            "under its material",
        ),
        ('section: "2412"', "section: wing.dat", "section: wing.dat", "cannot be read"),
        ("front_station: .025", "front_station: .9", "front_station: .9", "begins at 0.9"),
        (".35 5/8 x 7/8 middle", ".35 5/8 x 7/8", "spar_cut_outs", "cut-out"),
        (".35 5/8 x 7/8 middle", ".35 5/8 x 3 middle", "spar_cut_outs", "reaches into a bend"),
        ("front_height: {rib: front_height}", "front_height: 2.677", "front_height: 2.677", "2.5716"),
    ],
)
def test_a_rib_that_cannot_be_laid_out_is_found_before_metal_is_cut(
    folder: Path, old: str, new: str, at: str, words: str
) -> None:
    path = folder / "shop.yaml"
    before = path.read_text()
    assert old in before
    path.write_text(before.replace(old, new, 1))
    found = [fault for fault in load(folder, lint=True).faults if words in str(fault)]
    assert found, load(folder, lint=True).faults
    assert at in path.read_text().splitlines()[found[0].line - 1]


def test_all_faults_are_said_in_one_run(folder: Path) -> None:
    text = PROCEDURE.replace("do: Mark", "doo: Mark").replace("kind: measure", "kind: x")
    (folder / "procedures" / "a.yaml").write_text(text)
    (folder / "procedures" / "b.yaml").write_text("title: [")
    path = folder / "shop.yaml"
    path.write_text(path.read_text().replace("have: 2}", "have: -1}", 1))
    files = {fault.file.rpartition("/")[2] for fault in load(folder).errors}
    assert files == {"a.yaml", "b.yaml", "shop.yaml"}
    assert sum(fault.file.endswith("a.yaml") for fault in load(folder).errors) == 2


def test_an_alias_bomb_is_refused_before_it_grows(folder: Path) -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 10)]
    (folder / "procedures" / "bomb.yaml").write_text("\n".join(lines))
    faults = load(folder).errors
    assert faults[0].line == 1 and "anchor" in faults[0].wrong


def test_a_file_over_a_mebibyte_is_refused_unread(folder: Path) -> None:
    (folder / "procedures" / "big.yaml").write_text("a: b\n" * 250_000)
    assert "over the limit of 1 MiB" in str(load(folder).errors[0])


@pytest.mark.parametrize("depth", [40, 5000])
def test_deep_nesting_is_refused(folder: Path, depth: int) -> None:
    (folder / "procedures" / "deep.yaml").write_text("a: " + "[" * depth + "]" * depth)
    assert load(folder).errors[0].line == 1


def test_not_utf8_and_empty_files_are_refused(folder: Path) -> None:
    (folder / "procedures" / "a.yaml").write_bytes(b"id: x\ntitle: caf\xe9\n")
    (folder / "procedures" / "b.yaml").write_bytes(b"\n")
    first, second = load(folder).errors
    assert first.line == 2 and "UTF-8" in str(first)
    assert "empty" in str(second)


def test_a_fault_in_a_procedure_is_the_only_one(folder: Path) -> None:
    for broken in ("steps:\n", "steps: [\n"):
        (folder / "procedures" / "test-work.yaml").write_text(
            PROCEDURE.replace("steps:\n", broken, 1).replace("do: Cut", "doo: Cut")
        )
        path = folder / "shop.yaml"
        path.write_text(
            path.read_text().replace("      - procedure: deburr\n", "      - procedure: test-work\n", 1)
        )
        errors = load(folder).errors
        assert errors and all(fault.file.endswith("test-work.yaml") for fault in errors), errors


def test_a_dimension_that_a_step_misspells_is_blamed_on_the_step(folder: Path) -> None:
    text = (data_folder("procedures") / "spar" / "spar-channel.yaml").read_text()
    path = folder / "procedures" / "spar-channel.yaml"
    path.write_text(text.replace("nominal: flat_width", "nominal: flat_widht", 1))
    (fault,) = load(folder).errors
    assert fault.file.endswith("spar-channel.yaml")
    assert path.read_text().splitlines()[fault.line - 1][fault.column - 1 :].startswith("flat_widht")
    assert fault.mend.startswith("did you mean 'flat_width'?") and "under its dimensions in" in fault.mend
