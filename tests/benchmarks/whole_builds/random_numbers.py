"""Random numbers by name: the same key always gives the same ones, whatever was drawn before."""

import hashlib
import random


def random_of(*key: object) -> random.Random:
    """A source of random numbers for a key, such as one piece of one part in one build."""
    digest = hashlib.blake2b(repr(key).encode(), digest_size=8).digest()
    return random.Random(int.from_bytes(digest, "big"))
