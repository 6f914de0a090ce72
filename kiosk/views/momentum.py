"""What keeps the work going, told plainly: days since the last sitting, and a small step to begin with."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from kiosk.catalogue import said
from kiosk.dataclass import dataclass
from kiosk.plural import so_many
from kiosk.record.state import State
from kiosk.views.place_card import PlaceCard

if TYPE_CHECKING:
    from kiosk.planning.spare import SpareAnswer

LONG_GAP_DAYS = 7  # beyond this, a small step is offered
SMALL_MINUTES = 10


@dataclass(frozen=True)
class Momentum:
    """Days since the last sitting, what the last four weeks held, and how to begin small."""

    days_since: int | None  # None before the first sitting
    sittings_28_days: int  # days on which something was finished
    hours_28_days: float
    written_step: str  # what was written at close-up as the next beginning

    @property
    def long_gap(self) -> bool:
        """True when a small beginning is worth offering."""
        return self.days_since is not None and self.days_since >= LONG_GAP_DAYS


def momentum(state: State, today: date) -> Momentum:
    """How the work stands by the calendar, in local days: the last that are sure."""
    last = state.believed_at or state.last_at
    recent = {
        day: minutes
        for day, minutes in state.minutes_by_day.items()
        if today - timedelta(days=27) <= date.fromisoformat(day) <= today and minutes > 0
    }
    return Momentum(
        days_since=None if last is None else max(0, (today - last.astimezone().date()).days),
        sittings_28_days=len(recent),
        hours_28_days=sum(recent.values()) / 60,
        written_step=state.left.next_step if state.left is not None and state.sitting is None else "",
    )


@dataclass(frozen=True)
class MomentumWords:
    """What the place card says of it, each part empty when there is nothing to say."""

    small_beginning: str = ""
    meant: str = ""  # what was written as the next beginning
    last_weeks: str = ""

    @property
    def lines(self) -> list[str]:
        """All of it in lines."""
        return [text for text in (self.small_beginning, self.meant, self.last_weeks) if text]


def momentum_words(
    one: Momentum,
    small: SpareAnswer | None = None,
    card: PlaceCard | None = None,
    *,
    for_helper: bool = False,
) -> MomentumWords:
    """Plain words: nothing to win, nothing to lose. What the card says already is left out; and for a helper
    what the builder meant, which stands in the builder's words."""
    beginning = meant = weeks = ""
    if one.long_gap and small is not None:
        since = said("{days} since.", days=so_many(one.days_since or 0, "day", "days"))
        if small.suggestions:
            first = small.suggestions[0]
            from kiosk.views.suggestion import suggestion_words  # only after a long gap

            if card is None or (first.procedure, first.step) != (card.procedure, card.step):
                what = suggestion_words(first).what
                beginning = said(
                    "{since} Small beginning, {minutes} min: {what}",
                    since=since,
                    minutes=first.minutes,
                    what=what,
                )
            else:
                beginning = said(
                    "{since} Small beginning: {minutes} min of this.", since=since, minutes=first.minutes
                )
        elif small.prepare:
            from kiosk.views.preparing import preparation_words

            what = preparation_words(small.prepare[0], for_helper=for_helper)
            beginning = said("{since} Small beginning: {what}", since=since, what=what)
    if one.written_step and not for_helper and (card is None or one.written_step != card.next_step):
        meant = said("You meant to begin with {written_step}", written_step=one.written_step)
    if one.days_since is not None and one.sittings_28_days:
        days = so_many(one.sittings_28_days, "day", "days")
        weeks = said(
            "In the last four weeks: {days} at the bench, {hours_28_days} h.",
            days=days,
            hours_28_days=f"{one.hours_28_days:.1f}",
        )
    return MomentumWords(beginning, meant, weeks)
