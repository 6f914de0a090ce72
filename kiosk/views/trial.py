"""What the recorded trial strips say of a sheet, a radius and a grain direction."""

from collections.abc import Sequence
from typing import Literal

from kiosk.catalogue import said, to_be_said
from kiosk.dataclass import dataclass
from kiosk.errors import KioskError
from kiosk.numbers.trial import (
    TrialFit,
    brake_setting_deg,
    check_strip,
    fit,
    has_not_sprung,
    odd_strip,
    setting_known,
)
from kiosk.planning.times.student_t import quantile
from kiosk.record.events import TrialBent
from kiosk.record.state import PartState, State
from kiosk.record.strips import strip_of
from kiosk.shop.fitted import Bent, Fitted, plain_alloy
from kiosk.shop.parts import PartKind
from kiosk.shop.procedure import LotCheck, MeasureCheck, NumberWanted, Procedure, Step
from kiosk.shop.shop import Shop

GRAIN_NOT_SAID = to_be_said("grain not said")
TOLD_APART_IN = 0.0005  # less no micrometer at a bench tells
NO_SETTING_YET = to_be_said("no brake setting to go by yet")


def trial_fit(trials: Sequence[TrialBent]) -> TrialFit:
    """The fit of some strips. Raises OutOfRange when there is none or a figure cannot be."""
    return fit([strip_of(trial) for trial in trials], quantile)


def neutral_words(fitted: TrialFit) -> str:
    """Where the neutral line of a sheet lies, as its strips tell."""
    factor = fitted.told_neutral
    return said(
        "neutral line at {factor} of the thickness ({low} to {high})",
        factor=f"{factor.value:.3f}",
        low=f"{factor.low:.3f}",
        high=f"{factor.high:.3f}",
    )


def can_be(trial: TrialBent) -> bool:
    """False for a strip of an older kiosk, which took figures that cannot be."""
    try:
        check_strip(strip_of(trial))
    except KioskError:
        return False
    return True


def bent_of(trial: TrialBent) -> Bent | None:
    """What a part must share with a strip; None for a strip of which the grain was not said."""
    if trial.grain not in ("along", "across"):
        return None
    grain: Literal["along", "across"] = "along" if trial.grain == "along" else "across"
    return Bent(plain_alloy(trial.alloy), trial.thickness_in, trial.inside_radius_in, grain)


def fits_of(trials: Sequence[TrialBent]) -> list[Fitted]:
    """The fits of all strips that say how their grain lay and can be."""
    found = []
    for like in strips_by_sheet(trials).values():
        of = bent_of(like[0])
        good = [one for one in like if can_be(one)]
        if of is not None and good:
            found.append(Fitted(of, trial_fit(good)))
    return found


def strips_by_sheet(trials: Sequence[TrialBent]) -> dict[tuple[str, float, float, str], list[TrialBent]]:
    """Strips by alloy, thickness, radius and grain, each in the first group it belongs to, oldest first.

    Thickness and radius are those of the first strip of a group; the grain is empty where it was not said.
    """
    groups: dict[tuple[str, float, float, str], list[TrialBent]] = {}
    for one in trials:
        key = next((key for key in groups if _is_like(one, key)), None)
        if key is None:
            key = (one.alloy, one.thickness_in, one.inside_radius_in, one.grain)
        groups.setdefault(key, []).append(one)
    return groups


def _is_like(one: TrialBent, key: tuple[str, float, float, str]) -> bool:
    alloy, thickness_in, radius_in, grain = key
    # The grain is compared apart, for strips of which it was not said are a group of their own.
    first = Bent(plain_alloy(alloy), thickness_in, radius_in, "along")
    own = Bent(plain_alloy(one.alloy), one.thickness_in, one.inside_radius_in, "along")
    return grain == one.grain and own.is_like(first)


def trials_by_sheet(state: State) -> dict[tuple[str, float, float, str], list[TrialBent]]:
    """The strips that count and can be, by alloy, thickness, radius and grain."""
    return strips_by_sheet([strip for strip in state.strips() if can_be(strip)])


def strip_figures(strip: TrialBent) -> str:
    """What was measured of a strip, in one line."""
    return said(
        "flat {flat_length_in}, legs {leg_a_in} and {leg_b_in}, {angle_deg} at a setting of {set_angle_deg}",
        flat_length_in=f"{strip.flat_length_in:.3f}",
        leg_a_in=f"{strip.leg_a_in:.3f}",
        leg_b_in=f"{strip.leg_b_in:.3f}",
        angle_deg=f"{strip.angle_deg:.1f}",
        set_angle_deg=f"{strip.set_angle_deg:.1f}",
    )


def trial_lines(state: State) -> list[str]:
    """Every recorded strip by its number, and why one does not count."""
    lines = []
    for trial in state.trials:
        strip = trial.strip
        grain = said("{grain} the grain", grain=strip.grain) if strip.grain else said(GRAIN_NOT_SAID)
        lots = ", ".join(state.lots_of(trial))
        taken = f", {strip.mark}" if strip.mark else ""
        if lots:
            taken = ", " + said("{mark} of {lots}", mark=strip.mark, lots=lots)
        not_counted = ""
        if trial.retracted_by:
            not_counted = "   " + said("NOT COUNTED: {why}", why=trial.why)
        elif not can_be(strip):
            not_counted = "   " + said("NOT COUNTED, it cannot be: retract {number}", number=trial.number)
        elif not strip.grain:
            not_counted = "   " + said("not used for parts")
        lines.append(
            said(
                "{number}  {alloy} {thickness_in} over {inside_radius_in}, "
                "{grain}: {strip_figures}{taken}{not_counted}",
                number=f"{trial.number:3}",
                alloy=strip.alloy,
                thickness_in=f"{strip.thickness_in:.3f}",
                inside_radius_in=f"{strip.inside_radius_in:.3f}",
                grain=grain,
                strip_figures=strip_figures(strip),
                taken=taken,
                not_counted=not_counted,
            )
        )
    return lines


@dataclass(frozen=True)
class Disagreement:
    """One strip that does not agree with three or more others of its sheet, or with any sheet at all."""

    number: int
    sheet: frozenset[int]  # the numbers of all strips that it was held against, and its own
    wrong: str
    how: str = ""  # it is to be measured again

    def says(self, take_back: str) -> str:
        """What is wrong and how to mend it; ``take_back`` is how the strip is taken back from here."""
        return said(
            "{wrong}: measure it again{how}, or take it back with {take_back}",
            wrong=self.wrong,
            how=self.how,
            take_back=take_back,
        )

    @property
    def on_command_line(self) -> str:
        """The same where only the command line takes a strip back."""
        return self.says(said("`kiosk trial --retract {number} --why REASON`", number=self.number))


def disagreements(state: State) -> list[Disagreement]:
    """For each sheet, radius and grain, the strip that breaks the agreement of three or more others."""
    counted = [one for one in state.trials if not one.retracted_by and can_be(one.strip)]
    numbers = {id(one.strip): one.number for one in counted}
    found = []
    for like in strips_by_sheet([one.strip for one in counted]).values():
        odd = odd_strip([strip_of(one) for one in like], quantile)
        if odd is None:
            continue
        off = [said("{off} in", off=f"{abs(odd.off_in):.3f}")] if odd.in_length else []
        off += [said("{off} degrees", off=f"{abs(odd.off_deg):.1f}")] if odd.in_angle else []
        number = numbers[id(like[odd.place])]
        wrong = said(
            "Strip {number} disagrees with the others by {off}", number=number, off=" and ".join(off)
        )
        found.append(Disagreement(number, frozenset(numbers[id(one)] for one in like), wrong))
    return found


def unsprung(state: State) -> list[Disagreement]:
    """The strips that count and did not spring back: while they do, they set no brake and no block."""
    return [
        Disagreement(
            one.number,
            frozenset({one.number}),
            said("Strip {number} did not spring back at all", number=one.number),
            " " + said("off the brake"),
        )
        for one in state.trials
        if not one.retracted_by and can_be(one.strip) and has_not_sprung(strip_of(one.strip))
    ]


def told_on_command_line(state: State) -> list[str]:
    """What is wrong with the strips that count, each told once and with the command that takes it back."""
    odd = disagreements(state)
    named = {one.number for one in odd}
    return [
        one.on_command_line for one in (*odd, *(one for one in unsprung(state) if one.number not in named))
    ]


def told_when_saved(state: State) -> str:
    """What a screen says after a strip was saved: which one of its sheet disagrees; empty where all agree."""
    newest = max((one.number for one in state.trials if not one.retracted_by), default=0)
    odd = next((one for one in disagreements(state) if newest in one.sheet), None)
    if odd is None:
        last = next((one for one in unsprung(state) if one.number == newest), None)
        return f"{last.says('F6')}." if last is not None else ""
    return f"{odd.says('F6')}." if odd.number == newest else f"{odd.on_command_line}."


def trial_line(shop: Shop, kind: PartKind, step: Step) -> str:
    """What the strips say, for a step that asks for a bend of this kind; empty when there are none."""
    bends = [
        wanted
        for wanted in step.numbers
        if isinstance(wanted, NumberWanted) and wanted.calculator in ("bend_deduction", "overbend")
    ]
    if not bends:
        return ""
    try:
        inputs = bends[0].inputs
        radius_in = shop.figures.number(kind, inputs["inside_radius"], "in")
        thickness_in = shop.figures.number(kind, inputs["thickness"], "in")
        fitted = shop.figures.fit_of_bend(kind, thickness_in, radius_in, inputs)
        wanted_deg = shop.figures.number(kind, inputs.get("bend_angle", "90"), "deg")
    except KioskError:  # figures that `kiosk check` names
        return ""
    if fitted is None:
        return ""
    # The same strips stand behind the step's own figure, which says why the formula's setting still stands.
    known = setting_known(fitted, wanted_deg, None).used
    # For the angle that this step bends, never another: the bend cannot be taken back.
    set_to = said(
        "set the brake to {brake_setting_deg} for {wanted_deg}",
        brake_setting_deg=f"{brake_setting_deg(fitted, wanted_deg):.1f}",
        wanted_deg=f"{round(wanted_deg, 1):g}",
    )
    setting = set_to if known else said(NO_SETTING_YET)
    return said(
        "Your {counted}: {neutral}, {setting}",
        counted=fitted.counted,
        neutral=neutral_words(fitted),
        setting=setting,
    )


def strip_thickness_line(
    shop: Shop, kind: PartKind, part: PartState, procedure: Procedure, step: Step
) -> str:
    """That a strip counts at the part's own thickness, where the sheet of both was measured and is another;
    empty where it was not, or is that.

    A part's figures are worked out for the thickness of the plans, and so is what its strips say: what a bend
    takes of the flat length then goes over to the part as it was measured, whatever the sheet.
    """
    if step.trial is None or step.trial.check_of("thickness", step) is not None:
        return ""  # it tries nothing, or measures it itself
    source = step.trial.figures["thickness"]
    measured_in = _measured_of_sheet(part, procedure, step, source)
    if measured_in is None:
        return ""
    try:
        counts_in = shop.figures.number(kind, source, "in")
    except KioskError:  # figures that `kiosk check` names
        return ""
    if abs(measured_in - counts_in) < TOLD_APART_IN:
        return ""
    return said(
        "This sheet measured {measured} in. Its strips count at {counts} in, as the part's figures do.",
        measured=f"{measured_in:.4f}",
        counts=f"{counts_in:.4f}",
    )


def _measured_of_sheet(part: PartState, procedure: Procedure, step: Step, source: str) -> float | None:
    """The thickness as it was last measured before a step, where the lot was asked for: of the sheet itself,
    and of no gap that it sets."""
    found = None
    for earlier in procedure.steps:
        if earlier.id == step.id:
            break
        measured = part.measured.get(procedure.ref(earlier), {})
        if not any(isinstance(check, LotCheck) and check.of == "sheet" for check in earlier.checks):
            continue
        for check in earlier.checks:
            if isinstance(check, MeasureCheck) and check.nominal == source:
                found = measured.get(check.id, found)
    return found
