"""The tables of the rule sets: each says where it comes from, and none contradicts itself."""

from itertools import pairwise

import pytest

from wattwright.gear.circuit.tables import Status, table, weakest

FILES = ("iec", "nec", "nec_motors", "usual")


def tables(held, name=""):
    """Every table of a file that holds figures, with its dotted name and what stands around it."""
    for key, one in held.items():
        if isinstance(one, dict):
            yield f"{name}.{key}", one, held
            yield from tables(one, f"{name}.{key}")


def holds_figures(one) -> bool:
    """Whether a table holds figures of its own."""
    return any(isinstance(value, int | float | list) for key, value in one.items() if key != "from_memory")


@pytest.mark.parametrize("file", FILES)
def test_each_table_says_where_it_comes_from(file) -> None:
    """A table with figures has a source and a status that is known, or stands within one that has."""
    whole = table(file)
    sources = {name for name, one, _ in tables(whole) if {"source", "status"} <= set(one)}
    assert {one["status"] for _, one, _ in tables(whole) if "status" in one} <= {status.value for status in Status}
    bare = [
        name
        for name, one, _ in tables(whole)
        if holds_figures(one) and not any(name == known or name.startswith(f"{known}.") for known in sources)
    ]
    assert bare == ([".conductor_c"] if file == "iec" else [])  # 70 and 90 degC are what the words PVC and XLPE mean


def test_ampacities_never_fall() -> None:
    """A larger section, fewer loaded conductors or a hotter insulation never carries less; lists have one entry a size."""
    held = table("iec")["ampacity"]
    for insulation in ("PVC", "XLPE"):
        two, three = held[f"{insulation} 2"], held[f"{insulation} 3"]
        for method, row in two.items():
            assert len(row) == len(three[method]) == len(held["mm2"])
            assert all(low < high for low, high in pairwise(row))
            assert all(low < high for low, high in pairwise(three[method]))
            assert all(more <= less for more, less in zip(three[method], row, strict=True))
    for key in ("2", "3"):
        for method, row in held[f"PVC {key}"].items():
            assert all(low <= high for low, high in zip(row, held[f"XLPE {key}"][method], strict=True))
    wires = table("nec")["ampacity"]
    for low, high in (("60", "75"), ("75", "90")):
        assert len(wires[low]) == len(wires["awg"]) == len(table("nec")["raceway"]["wire_in2"])
        assert all(cool <= hot for cool, hot in zip(wires[low], wires[high], strict=True))


def test_factors_never_rise() -> None:
    """Warmer, drier or more circuits never leave more; rows and factors have the same length."""
    iec, nec = table("iec"), table("nec")
    laid = list(iec["group"]["laid"].values())
    assert all(len(one["circuits"]) == len(one["factor"]) for one in laid)
    assert all(len(iec["soil"][method]) == len(iec["soil"]["resistivity"]) for method in ("D1", "D2"))
    falling = [
        *(one["factor"] for one in laid), *(iec[where][kind] for where in ("air", "ground") for kind in ("PVC", "XLPE")),
        iec["soil"]["D1"], iec["soil"]["D2"], *(nec["air"][column] for column in ("60", "75", "90")), nec["group"]["factor"],
    ]  # fmt: skip
    assert all(before >= after for row in falling for before, after in pairwise(row))
    assert len(nec["group"]["upto"]) == len(nec["group"]["factor"])


def test_fuses_hold_less_than_they_melt_at() -> None:
    """What a fuse holds for 10 s lies below what melts it in 5 s, and that below what melts it at once."""
    held = table("iec")["fuse"]
    rows = zip(held["rated_a"], held["holds_10_s_a"], held["melts_5_s_a"], held["melts_100_ms_a"], strict=True)
    assert all(rated < holds < slow < quick for rated, holds, slow, quick in rows)


def test_the_weakest_counts() -> None:
    """Of several statuses the least firm is told."""
    assert weakest(Status.SEEN, Status.FROM_MEMORY, Status.WORKED_OUT) is Status.FROM_MEMORY
