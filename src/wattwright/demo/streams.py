"""Named random streams of the demo: one place where a seed and a name become a generator."""

from hashlib import sha256

import numpy as np


def stream(seed: int, name: str) -> np.random.Generator:
    """Return the generator of one named stream: the same seed and name always give the same numbers.

    The name is hashed, so that drawing more from one stream never disturbs another.
    """
    words = np.frombuffer(sha256(name.encode()).digest(), dtype=np.uint32)
    return np.random.default_rng(np.random.SeedSequence([seed, *words.tolist()]))
