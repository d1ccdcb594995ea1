"""Kernels run as plain Python for coverage are a hundred times slower: what is only a matter of size is smaller then."""

import os

PLAIN = os.environ.get("NUMBA_DISABLE_JIT") == "1"
