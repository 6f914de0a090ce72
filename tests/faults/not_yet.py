"""What is known to go wrong, with the reason. A row that no longer holds turns its test red.

Mended: delete the row, and the trial must then find nothing wrong.
"""

LYING_DISK = "a disk that says it has synchronised and has not"
FULL_AT_OPENING = "a full disk is called so when a shop is opened on it"

_NO_WITNESS = "nothing outside the database says how far the record was"
_NO_CHECK = "the chain of hashes is looked at for the logbook alone"

NOT_YET: dict[str, str] = {
    LYING_DISK: _NO_WITNESS,
    FULL_AT_OPENING: "SQLite's own words are handed on: a disk I/O error",
    # Families of damages.py, whose every damage opens in a wrong state without a word:
    "a bit of the log": _NO_WITNESS,
    "a page of nothing in the log": _NO_WITNESS,
    "the log cut off": _NO_WITNESS,
    "the log deleted": _NO_WITNESS,
    "the log emptied": _NO_WITNESS,
    "the log of another shop": _NO_WITNESS,
    "an older record put back": _NO_WITNESS,
    "the record of another shop": _NO_WITNESS,
    "the newest stock count changed": _NO_CHECK,
    "the last events deleted": _NO_WITNESS,
    "an event changed, and every hash made to fit": _NO_WITNESS,
    "the record emptied": _NO_WITNESS,
    "the record emptied under its log": _NO_WITNESS,
    "the record deleted": _NO_WITNESS,
}

# Families of which some damages open in a wrong state that the chain of hashes would tell: as long as "the
# newest stock count changed" is known above, these are too. Delete them with it.
CHAIN_ONLY = frozenset(
    {
        "a bit of the record, without a snapshot",
        "a page of rubbish",
        "an event changed, without a snapshot",
        "an event deleted",
    }
)
