"""Whole builds, simulated sitting by sitting: what a way of choosing the next thing costs in the end.

Every way of choosing sees the same evenings, the same slots and the same true times (common random numbers),
so that a few builds are enough to tell two ways apart. Everything is done through the bench's façade.
"""
