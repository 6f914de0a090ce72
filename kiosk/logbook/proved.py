"""What was proved of the record that a logbook is printed from: the logbook claims no more than that."""

from pathlib import Path

from kiosk.dataclass import dataclass
from kiosk.record.checking import check_record
from kiosk.record.journal import Journal
from kiosk.record.stopped import RecordingStopped


@dataclass(frozen=True)
class Proved:
    """How far the chain of hashes was found to fit what was printed, and why not further."""

    last: int  # the last event that was read
    to: int  # the chain fits from event 1 to this one; 0 where it fits to none
    head: str = ""  # the hash of that event
    trouble: str = ""  # what is wrong, naming the event; empty where it fits to the last
    witness: str = ""  # what else was compared with it and agreed, in words; empty where nothing was

    @property
    def whole(self) -> bool:
        """True when nothing that was read is without proof."""
        return not self.trouble and self.to == self.last


def proved(journal: Journal, last: int) -> Proved:
    """Follow the whole chain and ask the witness outside, for what was read of it up to event ``last``."""
    try:
        checked = check_record(Path(journal.path))
    except RecordingStopped as stopped:
        return Proved(last=last, to=0, trouble=str(stopped))
    if checked.bad is not None and checked.bad <= last:
        to = checked.bad - 1
        return Proved(last=last, to=to, head=journal.hash_at(to) if to else "", trouble=checked.what)
    return Proved(
        last=last,
        to=last,
        head=journal.hash_at(last) if last else "",
        trouble=checked.wrong,
        witness=checked.outside_words if checked.outside == "agrees" else "",
    )
