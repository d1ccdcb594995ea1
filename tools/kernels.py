"""Compile the kernels of the engine and of tariffs into the cache, so that processes started together find them there."""

from benchmarks.billing import prepare_compiled
from benchmarks.engine import DAY, many_loads, whole


def main() -> None:
    """Simulate a day of a site with rules and a battery, and work out what a year costs."""
    whole(many_loads(DAY))()
    with prepare_compiled() as (ours, _):
        ours()


if __name__ == "__main__":
    main()
