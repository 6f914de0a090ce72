"""The best worth for every number of minutes, all of them in one whole number.

A row has a lane of bits for each minute from 0 on. So two rows are compared, and a worth is added to all of
a row, in a few operations on whole numbers, where a list takes one for each minute: a choice with quiet hours
ahead fills thousands of rows. The lanes are as wide as the greatest worth that can come together, and one bit
wider: there it is seen which of two lanes is the greater. Lanes further on are never worth less.
"""

Row = int
DEEPEST = 15  # set-ups within one another
# What a lane holds where nothing is done: each set-up costs one of it, and 0 is left for what cannot be.
NOTHING_DONE = DEEPEST + 1


class Lanes:
    """How the rows of one search are laid out."""

    def __init__(self, minutes: int, greatest: int) -> None:
        """Nothing in a row comes to more than ``greatest``."""
        self.size = minutes + 1
        self._bits = (greatest + NOTHING_DONE).bit_length() + 1
        self._lane = (1 << self._bits) - 1
        self._ones = self.low(self.size) // self._lane
        self._guard = self._ones << (self._bits - 1)
        # By minutes, worth and size: which lanes are left, what is added to them, and by how much they move.
        self._moves: dict[tuple[int, int, int], tuple[int, int, int]] = {}

    def low(self, size: int) -> int:
        """A row of which so many lanes are full."""
        return (1 << size * self._bits) - 1

    def empty(self, size: int) -> Row:
        """A row of so many lanes where nothing is done."""
        return (self._ones & self.low(size)) * NOTHING_DONE

    def at(self, row: Row, minutes: int) -> int:
        """What a lane holds: worths are told apart by it, and differ as it does."""
        return row >> minutes * self._bits & self._lane

    def worth_at(self, row: Row, minutes: int) -> int:
        """The best worth in so many minutes."""
        return self.at(row, minutes) - NOTHING_DONE

    def worths(self, row: Row) -> list[int]:
        """The best worth by minutes."""
        return [self.worth_at(row, minutes) for minutes in range(self.size)]

    def first(self, row: Row, size: int) -> Row:
        """Its first lanes alone."""
        return row & self.low(size)

    def paid(self, row: Row, size: int, fee: int) -> Row:
        """A row of so many lanes with a fee taken from each."""
        return self.first(row, size) - (self._ones & self.low(size)) * fee

    def later(self, row: Row, minutes: int) -> Row:
        """Each lane so many minutes on; nothing can be before."""
        return row << minutes * self._bits

    def with_more(self, row: Row, size: int, minutes: int, worth: int) -> Row:
        """Of a row of so many lanes, what it is with something more that takes these minutes."""
        key = (minutes, worth, size)
        move = self._moves.get(key)
        if move is None:
            low = self.low(size - minutes)
            added = (self._ones & low) * worth
            move = self._moves[key] = (low, added, minutes * self._bits)
        low, added, bits = move
        return (row & low) + added << bits

    def on_from(self, row: Row, size: int, minutes: int) -> Row:
        """A row of so many lanes, and from there to ``minutes`` what its last one holds."""
        rest = (self._ones & self.low(max(0, minutes - size))) * self.at(row, size - 1)
        return row | rest << size * self._bits

    def greater(self, row: Row, other: Row) -> Row:
        """The greater of two, lane by lane."""
        # The guard of a lane is what is left of it where the first is no less; then all beneath it is taken.
        guards = ((row | self._guard) - other) & self._guard
        return other ^ ((row ^ other) & (guards - (guards >> (self._bits - 1))))
