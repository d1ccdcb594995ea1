"""Named random streams: every draw takes its seed from the job, and no draw disturbs another."""

import hashlib
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Streams:
    """A family of independent random streams grown from one seed."""

    seed: int

    def stream(self, name: str) -> np.random.Generator:
        """Return a fresh generator for ``name``; the same seed and name always give the same draws.

        The 256-bit key is SHA-256 of seed and name, given to numpy's PCG64 as entropy, so that streams do
        not depend on the order in which they are asked for.
        """
        key = hashlib.sha256(f"{self.seed}\x1f{name}".encode()).digest()
        return np.random.Generator(np.random.PCG64(int.from_bytes(key, "big")))
