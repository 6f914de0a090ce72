"""The place card, the spare-minutes answer and the board as plain text, for a pipe or a printout."""

from kiosk.planning.spare import SpareAnswer
from kiosk.record.position import skipped_steps, steps_left
from kiosk.record.state import State
from kiosk.shop.shop import Shop
from kiosk.views.board import BoardRow, KindCount
from kiosk.views.place_card import PlaceCard


def place_card_text(card: PlaceCard) -> str:
    """The place card in lines."""
    lines = [f"{card.aeroplane}: {card.standing}", card.title]
    if card.number:
        lines.append(f"Step {card.number} of {card.of}")
    lines.append(card.do)
    lines += [line for line in (card.count_line, card.draft_line) if line]
    if card.blocked:
        lines.append(f"Not now: {card.blocked}")
    lines.append(card.when)
    if card.note:
        lines.append(f"Your note: {card.note}")
    lines += [f"Left so: {text}" for text in card.left]
    lines += list(card.clocks)
    lines += [f"Changed: {text}" for text in card.changes]
    lines += [f"Snag: {text}" for text in card.snags]
    if card.fetch:
        lines.append(f"Fetch: {', '.join(card.fetch)}")
    if card.look_back:
        lines.append("Look at the part: are these still true?")
        lines += [f"  {', '.join(back.marks)}: {back.text} ({back.when})" for back in card.look_back]
    lines.append(f"Next: {card.action_label}")
    return "\n".join(line for line in lines if line)


def spare_text(answer: SpareAnswer) -> str:
    """The spare-minutes answer in lines."""
    lines = [f"You have {answer.minutes} minutes."]
    if answer.suggestions:
        lines[0] += (
            f" These take about {answer.total_minutes},"
            f" with {answer.set_up_minutes} for setting up and putting away."
        )
    else:
        lines[0] += " Nothing can be finished in that time. Worth doing all the same:"
    for number, suggestion in enumerate(answer.suggestions, 1):
        lines.append(f"{number}. {suggestion.what} [{suggestion.minutes} min]")
        lines.append(f"   Why: {suggestion.why}; {suggestion.left_as}.")
        if suggestion.fetch:
            lines.append(f"   Fetch: {', '.join(suggestion.fetch)}")
    if not answer.suggestions or answer.minutes <= 5:
        lines += [f"- {text}" for text in answer.prepare]
    if answer.not_now:
        lines.append("Not now:")
        lines += [f"  {text}" for text in answer.not_now[:4]]
    return "\n".join(lines)


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


def part_text(shop: Shop, state: State, row: BoardRow) -> str:
    """One part: where it stands, what is open and what is still to do."""
    kind = shop.kind_of(row.mark)
    lines = [f"{row.mark}  {kind.name}  drawing {kind.drawing}", f"{row.state_word}  {row.where}".strip()]
    if row.reason:
        lines.append(row.reason)
    lines += [f"skipped: {step} ({reason})" for _, step, reason in skipped_steps(state, row.mark)]
    left = steps_left(shop, state, row.mark)
    if left:
        minutes = sum(step.minutes.each for _, step in left)
        lines.append(f"{len(left)} steps left, about {minutes:.0f} min at the bench by the estimates")
    return "\n".join(lines)
