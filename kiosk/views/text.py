"""The place card, the spare-minutes answer and the board as plain text, for a pipe or a printout."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kiosk.catalogue import said
from kiosk.plural import so_many

if TYPE_CHECKING:
    from collections.abc import Mapping

    # One command prints one of these: the rest of the arithmetic is not loaded for it.
    from kiosk.numbers.result import Result
    from kiosk.numbers.rib import Rib
    from kiosk.numbers.trial import TrialFit
    from kiosk.planning.spare import SpareAnswer
    from kiosk.planning.suggestion import Suggestion
    from kiosk.record.context import Context
    from kiosk.shop.shop import Person
    from kiosk.views.board import BoardRow, KindCount
    from kiosk.views.cutting import MaterialPlan
    from kiosk.views.place_card import PlaceCard


def place_card_text(card: PlaceCard) -> str:
    """The place card in lines."""
    lines = [f"{card.aeroplane}: {card.standing}", card.title]
    if card.doubt:
        lines.append(said("{doubt}. `kiosk open` asks about it.", doubt=card.doubt))
    if card.number:
        lines.append(said("Step {number} of {of}", number=card.number, of=card.of))
    lines.append(card.do)
    if card.count is not None:
        lines.append(card.count.words)
    lines += [one.words for one in card.half_typed]
    if card.blocked:
        lines.append(said("Not now: {blocked}", blocked=card.blocked))
    lines += [one for one in (card.could_not_follow, *card.runs_out_first, card.begin_by) if one]
    lines.append(card.when)
    if card.note:
        lines.append(card.note)
    lines += [said("Left so: {text}", text=text) for text in card.left]
    lines += list(card.clocks)
    lines += [said("Changed: {text}", text=text) for text in card.changes]
    lines += [said("Snag: {text}", text=text) for text in card.snags]
    if card.to_look_over:
        lines.append(
            said("Look over what a helper did: {to_look_over}", to_look_over=", ".join(card.to_look_over))
        )
    if card.fetch:
        lines.append(said("Fetch: {fetch}", fetch=", ".join(card.fetch)))
    if card.look_back:
        lines.append(said("Look at the part: are these still true?"))
        lines += [f"  {', '.join(back.marks)}: {back.text} ({back.when})" for back in card.look_back]
    lines.append(said("Next: {action_label}", action_label=card.action_label))
    return "\n".join(line for line in lines if line)


def spare_text(answer: SpareAnswer, people: Mapping[str, Person]) -> str:
    """The spare-minutes answer in lines; ``people`` by their ids."""
    from kiosk.views.preparing import next_slot_words, not_now_words, preparation_words, read_room_words
    from kiosk.views.suggestion import set_up_ahead_words, suggestion_words, sum_of_slot
    from kiosk.views.wording import chance_in_words

    lines = [said("You have {minutes} minutes.", minutes=answer.minutes)]
    if answer.suggestions:
        lines[0] += " " + said(
            "These take {sum_of_slot}; they fit {chance_in_words}.",
            sum_of_slot=sum_of_slot(answer),
            chance_in_words=chance_in_words(answer.chance),
        )
    elif answer.prepare or answer.next_slot is not None:
        lines[0] += " " + said("Nothing can be finished in that time. Worth doing all the same:")
    else:
        lines[0] += " " + said("Nothing for you fits in that time.")
    if not answer.exact:
        lines[0] += " " + said("(There are too many ways to look at all of them.)")
    if answer.set_up_ahead is not None:
        lines.append(set_up_ahead_words(answer.set_up_ahead))
    for number, suggestion in enumerate(answer.suggestions, 1):
        lines += _suggestion_lines(
            f"{number}.", suggestion, said("{minutes} min", minutes=suggestion.minutes)
        )
    for suggestion in answer.instead:
        fits = said(
            "{minutes} min, fits {chance_in_words}",
            minutes=suggestion.minutes,
            chance_in_words=chance_in_words(suggestion.chance),
        )
        lines += _suggestion_lines("Or:", suggestion, fits)
    for suggestion in answer.helper_does:
        what = suggestion_words(suggestion).what
        lines.append(
            said(
                "{by} meanwhile: {what} [{minutes} min]",
                by=people[suggestion.by].name,
                what=what,
                minutes=suggestion.minutes,
            )
        )
    if answer.read_room is not None:
        lines.append(read_room_words(answer.read_room))
    if not answer.suggestions or answer.minutes <= 5:
        lines += [f"- {preparation_words(one)}" for one in answer.prepare]
        if answer.next_slot is not None:
            lines.append(
                said(
                    "The next slot begins with {next_slot_words}",
                    next_slot_words=next_slot_words(answer.next_slot),
                )
            )
    if answer.not_now:
        lines.append(said("Not now:"))
        lines += [f"  {not_now_words(one)}" for one in answer.not_now[:4]]
    return "\n".join(lines)


def _suggestion_lines(lead: str, suggestion: Suggestion, minutes: str) -> list[str]:
    from kiosk.views.suggestion import suggestion_words

    words = suggestion_words(suggestion)
    lines = [f"{lead} {words.what} [{minutes}]", f"   {words.reason}"]
    if suggestion.beside:
        lines.append("   " + said("Takes two: with {beside}", beside=suggestion.beside))
    if suggestion.fetch:
        lines.append("   " + said("Fetch: {fetch}", fetch=", ".join(suggestion.fetch)))
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
            lines.append(
                said(
                    "{name}: {complete} complete, {begun} begun, {all} in all",
                    name=count.name,
                    complete=count.complete,
                    begun=count.begun,
                    all=count.all,
                )
            )
    return "\n".join(lines)


def part_text(context: Context, row: BoardRow) -> str:
    """One part: where it stands, what is open and what is still to do."""
    from kiosk.record.made_before import made_otherwise
    from kiosk.record.position import never_done, skipped_steps
    from kiosk.views.left import left_line

    shop, state = context.shop, context.state
    kind = shop.kind_of(row.mark)
    lines = [
        said("{mark}  {name}  drawing {drawing}", mark=row.mark, name=kind.name, drawing=kind.drawing),
        f"{row.state_word}  {row.where}".strip(),
    ]
    if row.reason:
        lines.append(row.reason)
    lines += [
        said("skipped: {step} ({reason})", step=ref.step, reason=reason)
        for ref, reason in skipped_steps(state, row.mark)
    ]
    lines += [
        said("put in since, never done: {step}", step=ref.step) for ref in never_done(shop, state, row.mark)
    ]
    lines += [said("Changed: {words}", words=one.words) for one in made_otherwise(shop, state, row.mark)]
    lines.append(left_line(context, row.mark))
    return "\n".join(line for line in lines if line)


def result_text(result: Result) -> str:
    """A worked number with its working."""
    lines = [f"{result.title}: {result.show()}"]
    lines += [f"  {one.name}: {one.show()}" for one in result.beside]
    lines += [("  " + said("Note: {warning}", warning=warning)) for warning in result.warnings]
    given = ", ".join(f"{one.name} {one.show()}" for one in result.inputs)
    lines += [
        said("From: {given}", given=given),
        said("How: {formula}", formula=result.formula),
        said("Source: {source}", source=result.source),
    ]
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
        said(
            "Height {front_height_in} in at the front, {rear_height_in} at "
            "the rear; blank {blank_length_in} long, {blank_width_in} wide",
            front_height_in=f"{rib.front_height_in:.3f}",
            rear_height_in=f"{rib.rear_height_in:.3f}",
            blank_length_in=f"{rib.blank_length_in:.3f}",
            blank_width_in=f"{rib.blank_width_in:.3f}",
        )
    ]
    for side in (rib.upper, rib.lower):
        lines.append(
            said(
                "{name}: {length_in} in long, turns {turning_deg} degrees, edge to lose {shrink_in} in",
                name=side.name,
                length_in=f"{side.length_in:.3f}",
                turning_deg=f"{side.turning_deg:.1f}",
                shrink_in=f"{side.shrink_in:.3f}",
            )
        )
        for number, piece in enumerate(side.pieces, 1):
            where = "its" if len(side.pieces) == 1 else said("piece {number}'s", number=number)
            begin = piece.first_in  # a rule is laid on where the flange begins, not at the station
            rivets = ", ".join(f"{one.at_in - begin:.3f}" for one in piece.rivets)
            lines.append(
                "  " + said("from {where} own front end, rivets at {rivets}", where=where, rivets=rivets)
            )
            here = [one for one in side.flutes if begin <= one.at_in < piece.last_in]
            if here:
                flutes = ", ".join(f"{one.at_in - begin:.3f} ({one.depth_in:.3f} deep)" for one in here)
                many = so_many(len(here), "flute", "flutes")
                lines.append(
                    "  "
                    + said(
                        "{many} {width_in} wide at {flutes}",
                        many=many,
                        width_in=f"{here[0].width_in:.3f}",
                        flutes=flutes,
                    )
                )
        for hollow in side.hollows:
            lines.append(
                "  "
                + said(
                    "hollow from {first_in} to {last_in}: the edge stretches {stretch_percent} %",
                    first_in=f"{hollow.first_in:.3f}",
                    last_in=f"{hollow.last_in:.3f}",
                    stretch_percent=f"{hollow.stretch_percent:.1f}",
                )
            )
    for end in rib.ends:
        lines.append(
            said(
                "{end} flange goes {way}: {width_in} in wide, {length_in} long, {number} rivets",
                end=end.end,
                way=end.way,
                width_in=f"{end.width_in:.3f}",
                length_in=f"{end.length_in:.3f}",
                number=len(end.rivets),
            )
        )
    if rib.reliefs:
        lines.append(
            said(
                "{number} reliefs, holes {diameter_in} in",
                number=len(rib.reliefs),
                diameter_in=f"{rib.reliefs[0].diameter_in:.3f}",
            )
        )
    with_spar = {end.end for end in rib.ends}  # an end without a flange may have no spar at all
    for bevel in (one for one in rib.bevels if one.end in with_spar):
        lines.append(
            said(
                "{end} spar, {side} flange: bend {aft_bend_deg} degrees if it "
                "points aft, {forward_bend_deg} if forward",
                end=bevel.end,
                side=bevel.side,
                aft_bend_deg=f"{bevel.aft_bend_deg:.1f}",
                forward_bend_deg=f"{bevel.forward_bend_deg:.1f}",
            )
        )
    lines += [said("Look: {wrong} → {mend}", wrong=one.wrong, mend=one.mend) for one in rib.warnings]
    return "\n".join(lines)


def cutting_text(plans: list[MaterialPlan]) -> str:
    """Cutting lists with waste and the least number of sheets."""
    from kiosk.numbers.cutting import cutting_list

    lines: list[str] = []
    for one in plans:
        plan = one.plan
        lines.append(
            said(
                "{alloy} {thickness_in}: {sheets}, none can do with fewer than "
                "{least_sheets}; strips run {strips_run}; waste {waste_percent} "
                "%, {waste_without_offcuts_percent} % with the offcuts kept",
                alloy=one.alloy,
                thickness_in=f"{one.thickness_in:.3f}",
                sheets=so_many(len(plan.sheets), "sheet", "sheets"),
                least_sheets=plan.least_sheets,
                strips_run=plan.strips_run,
                waste_percent=f"{plan.waste_percent:.1f}",
                waste_without_offcuts_percent=f"{plan.waste_without_offcuts_percent:.1f}",
            )
        )
        lines += cutting_list(plan)
        lines.append("")
    return "\n".join(lines).rstrip() or said("Nothing is left to cut.")


def trial_text(alloy: str, thickness_in: float, radius_in: float, grain: str, fitted: TrialFit) -> str:
    """What trial strips say, what follows for a right-angled bend, and where the formula stands for it."""
    from kiosk.numbers.trial import READ_TO_IN, brake_setting_deg, setting_known, width_known
    from kiosk.views.trial import neutral_words

    spring = fitted.told_springback
    leg_in = max(1.0, radius_in + thickness_in)  # no leg is shorter than its setback
    square = width_known(fitted, (leg_in, leg_in), (90.0,), thickness_in, radius_in)
    setting = setting_known(fitted, 90.0, None)
    found = square.estimate
    half_in = max((found.high - found.low) / 2, READ_TO_IN)
    flat_in = found.value if square.used else square.formula_in
    sure = " " + said(
        "({low} to {high})", low=f"{found.value - half_in:.4f}", high=f"{found.value + half_in:.4f}"
    )
    lies = (
        said("{grain} the grain", grain=grain) if grain else said("grain not said, so no part is cut by it")
    )
    springs = said(
        "springs back to {share} of the set angle ({low} to {high})",
        share=f"{spring.value:.4f}",
        low=f"{spring.low:.4f}",
        high=f"{spring.high:.4f}",
    )
    brake = (
        said("set the brake to {degrees} degrees for 90", degrees=f"{brake_setting_deg(fitted, 90):.1f}")
        if setting.used
        else said("brake setting for 90: {says}", says=setting.says)
    )
    angle = {"leg": f"{leg_in:g}", "flat": f"{flat_in:.4f}"}
    flat = (
        said("a {leg} x {leg} in angle needs {flat} in flat", **angle) + sure
        if square.used
        else said(
            "a {leg} x {leg} in angle needs {flat} in flat by the formula. {says}", says=square.says, **angle
        )
    )
    return "\n".join(
        [
            f"{alloy} {thickness_in:.3f} over {radius_in:.3f}, {lies}: {fitted.says}",
            *(f"  {line}" for line in (neutral_words(fitted), springs, brake, flat)),
        ]
    )
