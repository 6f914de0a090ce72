"""The place card, the spare-minutes answer and the board as plain text, for a pipe or a printout."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kiosk.plural import so_many

if TYPE_CHECKING:  # one command prints one of these: the rest of the arithmetic is not loaded for it
    from kiosk.numbers.result import Result
    from kiosk.numbers.rib import Rib
    from kiosk.numbers.trial import TrialFit
    from kiosk.planning.spare import SpareAnswer
    from kiosk.planning.suggestion import Suggestion
    from kiosk.record.context import Context
    from kiosk.views.board import BoardRow, KindCount
    from kiosk.views.cutting import MaterialPlan
    from kiosk.views.place_card import PlaceCard


def place_card_text(card: PlaceCard) -> str:
    """The place card in lines."""
    lines = [f"{card.aeroplane}: {card.standing}", card.title]
    if card.doubt:
        lines.append(f"{card.doubt}. `kiosk open` asks about it.")
    if card.number:
        lines.append(f"Step {card.number} of {card.of}")
    lines.append(card.do)
    if card.count is not None:
        lines.append(card.count.words)
    lines += [draft.words for draft in card.drafts]
    if card.blocked:
        lines.append(f"Not now: {card.blocked}")
    lines.append(card.when)
    if card.note:
        lines.append(card.note)
    lines += [f"Left so: {text}" for text in card.left]
    lines += list(card.clocks)
    lines += [f"Changed: {text}" for text in card.changes]
    lines += [f"Snag: {text}" for text in card.snags]
    if card.to_look_over:
        lines.append(f"Look over what a helper did: {', '.join(card.to_look_over)}")
    if card.fetch:
        lines.append(f"Fetch: {', '.join(card.fetch)}")
    if card.look_back:
        lines.append("Look at the part: are these still true?")
        lines += [f"  {', '.join(back.marks)}: {back.text} ({back.when})" for back in card.look_back]
    lines.append(f"Next: {card.action_label}")
    return "\n".join(line for line in lines if line)


def spare_text(answer: SpareAnswer) -> str:
    """The spare-minutes answer in lines."""
    from kiosk.views.preparing import next_slot_words, not_now_words, preparation_words, read_room_words
    from kiosk.views.suggestion import suggestion_words, sum_of_slot
    from kiosk.views.wording import chance_in_words

    lines = [f"You have {answer.minutes} minutes."]
    if answer.suggestions:
        lines[0] += f" These take {sum_of_slot(answer)}; they fit {chance_in_words(answer.chance)}."
    else:
        lines[0] += " Nothing can be finished in that time. Worth doing all the same:"
    if not answer.exact:
        lines[0] += " (There are too many ways to look at all of them.)"
    for number, suggestion in enumerate(answer.suggestions, 1):
        lines += _suggestion_lines(f"{number}.", suggestion, f"{suggestion.minutes} min")
    for suggestion in answer.instead:
        fits = f"{suggestion.minutes} min, fits {chance_in_words(suggestion.chance)}"
        lines += _suggestion_lines("Or:", suggestion, fits)
    for suggestion in answer.helper_does:
        what = suggestion_words(suggestion).what
        lines.append(f"{suggestion.by} meanwhile: {what} [{suggestion.minutes} min]")
    if answer.read_room is not None:
        lines.append(read_room_words(answer.read_room))
    if not answer.suggestions or answer.minutes <= 5:
        lines += [f"- {preparation_words(one)}" for one in answer.prepare]
        if answer.next_slot is not None:
            lines.append(f"The next slot begins with {next_slot_words(answer.next_slot)}")
    if answer.not_now:
        lines.append("Not now:")
        lines += [f"  {not_now_words(one)}" for one in answer.not_now[:4]]
    return "\n".join(lines)


def _suggestion_lines(lead: str, suggestion: Suggestion, minutes: str) -> list[str]:
    from kiosk.views.suggestion import suggestion_words

    said = suggestion_words(suggestion)
    lines = [f"{lead} {said.what} [{minutes}]", f"   {said.reason}"]
    if suggestion.beside:
        lines.append(f"   Takes two: with {suggestion.beside}")
    if suggestion.fetch:
        lines.append(f"   Fetch: {', '.join(suggestion.fetch)}")
    return lines


def board_text(rows: list[BoardRow], counts: list[KindCount]) -> str:
    """The part board in columns, with a count of each kind under it."""
    shown = {row.kind for row in rows}
    lines = []
    for row in rows:
        reason = f" ({row.reason})" if row.reason else ""
        lines.append(f"{row.mark:<8}{row.state_word:<10}{row.where}{reason}")
    lines.append("")
    for count in counts:
        if count.kind in shown:
            lines.append(f"{count.name}: {count.complete} complete, {count.begun} begun, {count.all} in all")
    return "\n".join(lines)


def part_text(context: Context, row: BoardRow) -> str:
    """One part: where it stands, what is open and what is still to do."""
    from kiosk.record.made_before import made_otherwise
    from kiosk.record.position import never_done, skipped_steps
    from kiosk.views.left import left_line

    shop, state = context.shop, context.state
    kind = shop.kind_of(row.mark)
    lines = [f"{row.mark}  {kind.name}  drawing {kind.drawing}", f"{row.state_word}  {row.where}".strip()]
    if row.reason:
        lines.append(row.reason)
    lines += [f"skipped: {ref.step} ({reason})" for ref, reason in skipped_steps(state, row.mark)]
    lines += [f"put in since, never done: {ref.step}" for ref in never_done(shop, state, row.mark)]
    lines += [f"Changed: {one.words}" for one in made_otherwise(shop, state, row.mark)]
    lines.append(left_line(context, row.mark))
    return "\n".join(line for line in lines if line)


def result_text(result: Result) -> str:
    """A worked number with its working."""
    lines = [f"{result.title}: {result.show()}"]
    lines += [f"  {one.name}: {one.show()}" for one in result.beside]
    lines += [f"  Note: {warning}" for warning in result.warnings]
    given = ", ".join(f"{one.name} {one.show()}" for one in result.inputs)
    lines += [f"From: {given}", f"How: {result.formula}", f"Source: {result.source}"]
    return "\n".join([*lines, f"Holds for: {result.holds}"])


def calculators_text(subject: str | None) -> str:
    """The calculators with their inputs; an input in brackets may be left out."""
    from kiosk.numbers.catalogue import CALCULATORS

    lines: list[str] = []
    for calculator in CALCULATORS.values():
        if subject is not None and calculator.subject != subject:
            continue
        inputs = " ".join(one.name if one.required else f"[{one.name}]" for one in calculator.parameters)
        lines.append(f"{calculator.subject:<8} {calculator.name:<16} {inputs}")
    return "\n".join(lines)


def rib_text(rib: Rib) -> str:
    """A rib's sizes."""
    lines = [
        f"Height {rib.front_height_in:.3f} in at the front, {rib.rear_height_in:.3f} at the rear;"
        f" blank {rib.blank_length_in:.3f} long, {rib.blank_width_in:.3f} wide"
    ]
    for side in (rib.upper, rib.lower):
        lines.append(
            f"{side.name}: {side.length_in:.3f} in long, turns {side.turning_deg:.1f} degrees,"
            f" edge to lose {side.shrink_in:.3f} in"
        )
        for number, piece in enumerate(side.pieces, 1):
            where = "its" if len(side.pieces) == 1 else f"piece {number}'s"
            begin = piece.first_in  # a rule is laid on where the flange begins, not at the station
            rivets = ", ".join(f"{one.at_in - begin:.3f}" for one in piece.rivets)
            lines.append(f"  from {where} own front end, rivets at {rivets}")
            here = [one for one in side.flutes if begin <= one.at_in < piece.last_in]
            if here:
                flutes = ", ".join(f"{one.at_in - begin:.3f} ({one.depth_in:.3f} deep)" for one in here)
                many = so_many(len(here), "flute", "flutes")
                lines.append(f"  {many} {here[0].width_in:.3f} wide at {flutes}")
        for hollow in side.hollows:
            lines.append(
                f"  hollow from {hollow.first_in:.3f} to {hollow.last_in:.3f}:"
                f" the edge stretches {hollow.stretch_percent:.1f} %"
            )
    for end in rib.ends:
        lines.append(
            f"{end.end} flange goes {end.way}: {end.width_in:.3f} in wide, {end.length_in:.3f} long,"
            f" {len(end.rivets)} rivets"
        )
    if rib.reliefs:
        lines.append(f"{len(rib.reliefs)} reliefs, holes {rib.reliefs[0].diameter_in:.3f} in")
    with_spar = {end.end for end in rib.ends}  # an end without a flange may have no spar at all
    for bevel in (one for one in rib.bevels if one.end in with_spar):
        lines.append(
            f"{bevel.end} spar, {bevel.side} flange: bend {bevel.aft_bend_deg:.1f} degrees if it points aft,"
            f" {bevel.forward_bend_deg:.1f} if forward"
        )
    lines += [f"Look: {one.wrong} → {one.mend}" for one in rib.warnings]
    return "\n".join(lines)


def cutting_text(plans: list[MaterialPlan]) -> str:
    """Cutting lists with waste and the least number of sheets."""
    from kiosk.numbers.cutting import cutting_list

    lines: list[str] = []
    for one in plans:
        plan = one.plan
        lines.append(
            f"{one.alloy} {one.thickness_in:.3f}: {so_many(len(plan.sheets), 'sheet', 'sheets')},"
            f" none can do with fewer than"
            f" {plan.least_sheets}; strips run {plan.strips_run}; waste {plan.waste_percent:.1f} %,"
            f" {plan.waste_without_offcuts_percent:.1f} % with the offcuts kept"
        )
        lines += cutting_list(plan)
        lines.append("")
    return "\n".join(lines).rstrip() or "Nothing is left to cut."


def trial_text(alloy: str, thickness_in: float, radius_in: float, grain: str, fitted: TrialFit) -> str:
    """What trial strips say, what follows for a right-angled bend, and where the formula stands for it."""
    from kiosk.numbers.trial import READ_TO_IN, brake_setting_deg, setting_known, width_known

    factor, spring = fitted.told_neutral, fitted.told_springback
    leg_in = max(1.0, radius_in + thickness_in)  # no leg is shorter than its setback
    square = width_known(fitted, (leg_in, leg_in), (90.0,), thickness_in, radius_in)
    setting = setting_known(fitted, 90.0, None)
    found = square.estimate
    half_in = max((found.high - found.low) / 2, READ_TO_IN)
    flat_in = found.value if square.used else square.formula_in
    sure = f" ({found.value - half_in:.4f} to {found.value + half_in:.4f})"
    lies = f"{grain} the grain" if grain else "grain not said, so no part is cut by it"
    return "\n".join(
        [
            f"{alloy} {thickness_in:.3f} over {radius_in:.3f}, {lies}: {fitted.says}",
            f"  neutral line at {factor.value:.3f} of the thickness ({factor.low:.3f} to {factor.high:.3f})",
            f"  springs back to {spring.value:.4f} of the set angle ({spring.low:.4f} to {spring.high:.4f})",
            f"  set the brake to {brake_setting_deg(fitted, 90):.1f} degrees for 90"
            if setting.used
            else f"  brake setting for 90: {setting.says}",
            f"  a {leg_in:g} x {leg_in:g} in angle needs {flat_in:.4f} in flat"
            + (sure if square.used else f" by the formula. {square.says}"),
        ]
    )
