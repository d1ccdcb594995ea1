"""One step of the battery: what it is asked for, and what it takes and gives within its limits.

The engine passes its pieces by these, and so does a sweep over sizes that only screens: there is no second dispatch. They hold
no branches, so that a sweep can step many sizes at once.
"""

from wattwright.core.kernels import lean_kernel


@lean_kernel
def asked_w(needed_w: float, usable_w: float, shave_w: float) -> tuple[float, float]:
    """Return (what the battery is to give, what it may take), W, where ``needed_w`` is used and ``usable_w`` comes from PV.

    It gives what goes beyond ``shave_w`` of import, and may take the surplus of PV and what is left below ``shave_w``: with 0
    all that is missing and nothing but the surplus.
    """
    missing_w = max(0.0, needed_w - usable_w)
    return max(0.0, missing_w - shave_w), max(0.0, usable_w - needed_w) + max(0.0, shave_w - missing_w)


@lean_kernel
def refilled_w(lacks_j: float, refill_w: float, kept: float, time_s: float) -> float:
    """Return what the grid may give a battery that lacks ``lacks_j`` of its reserve, W; nothing where it lacks none."""
    return min(refill_w, max(0.0, lacks_j) / (kept * time_s))


@lean_kernel
def out_w(give_w: float, held_j: float, most_w: float, arrives: float, time_s: float) -> float:
    """Return what it gives at the site's side, W: of ``held_j`` above its floor the share ``arrives``, at most ``most_w``."""
    return max(0.0, min(give_w, most_w, held_j * arrives / time_s))


@lean_kernel
def in_w(take_w: float, room_j: float, most_w: float, kept: float, time_s: float) -> float:
    """Return what a battery takes at the site's side, W: into ``room_j``, at most ``most_w``; ``kept`` of it stays."""
    return max(0.0, min(take_w, most_w, room_j / (kept * time_s)))
