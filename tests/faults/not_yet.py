"""What is known to go wrong, with the reason. A row that no longer holds turns its test red.

Mended: delete the row, and the trial must then find nothing wrong.
"""

LYING_DISK = "a disk that says it has synchronised and has not"
FULL_AT_OPENING = "a full disk is called so when a shop is opened on it"

NOT_YET: dict[str, str] = {
    LYING_DISK: "the head beside the record is written after the tap, and such a disk loses the two together",
}

# Families of which some damages open in a wrong state that the chain of hashes would tell.
CHAIN_ONLY: frozenset[str] = frozenset()
