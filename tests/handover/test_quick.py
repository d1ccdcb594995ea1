"""A quick answer as a paper: cautions first, the answer, every rule with its clause, what must be asked."""

from tests.gear.test_quick import asked
from tests.handover.kit import cells, tables
from wattwright.catalogue.equipment.range import EMPTY
from wattwright.core.show import Show
from wattwright.handover.paper import Caution, Paper, Steps
from wattwright.handover.pdf import pdf
from wattwright.handover.quick import how, quick_paper


def of(range_=None, **told: object) -> Paper:
    """The paper for what was told."""
    return quick_paper(asked(range_, **told), Show(), "2025-11-03")


def rows(paper: Paper, section: int, table: int = 0) -> dict[str, list[str]]:
    """A table of the paper by its first column."""
    return {row[0]: row[1:] for row in cells(tables(paper.sections[section])[table])}


def test_whole_answer() -> None:
    """Each part is named, with the rule set, and mains, scalding or bathers are cautioned of."""
    paper = of(load="pool pump", power="1.1 kW", length="20 m", method="C")
    use, why, ask = paper.sections
    cautions = " ".join(str(one.words) for one in use.blocks if isinstance(one, Caution))
    assert "Mains work can kill" in cautions
    assert "People are in the water" in cautions
    assert "IEC 60364" in tables(use)[0].source
    made = rows(paper, 0)
    assert list(made) == ["Switch", "Contactor", "Across its coil", "Protection", "Cable", "Clamp to measure it", "Probe"]
    assert made["Cable"][0].startswith("copper of ")
    assert "by a contactor" in str(use.lead)
    assert len(tables(why)) == 3
    assert any(isinstance(one, Steps) for one in ask.blocks)
    assert pdf(paper).startswith(b"%PDF")


def test_by_the_nec() -> None:
    """The rule set is named, the curve of its breakers has no letter."""
    paper = of(load="water heater", power="4.5 kW", system="split-phase", length="15 m", method="cable")
    assert "NEC" in paper.title_block.basis
    # 4.5 kW at 240 V for hours: 125 % of 18.75 A, so a breaker of 25 A (NEC 240.6, 422.13; from memory).
    assert rows(paper, 0)["Protection"][0].startswith("breaker 25 A, 2 poles")


def test_nothing_does() -> None:
    """Where nothing passes, what came nearest is told; without a range there is nothing to refuse."""
    huge = of(load="cold room", current="399 A", senses=True)
    assert "Nothing in the range" in str(huge.sections[0].lead)
    assert rows(huge, 0)["Switch"][0] == "none of the range"
    assert rows(huge, 0)["Probe"][0] != "none of the range"
    assert len(rows(huge, 1)) <= 5
    none = of(EMPTY, load="cold room", current="8 A", senses=True)
    assert rows(none, 0)["Probe"][0] == rows(none, 0)["Clamp to measure it"][0] == "none of the range"
    assert tables(none.sections[1]) == []


def test_by_the_load_s_own_input() -> None:
    """A load that is told by its own control input keeps its mains."""
    from dataclasses import replace

    made = asked(load="water heater", power="3 kW").answer
    told = replace(made, choice=replace(made.choice, selected=replace(made.choice.selected, on_input=True)))
    assert how(told).startswith("by its own control input: the dry contact of the ")


def test_nothing_to_ask() -> None:
    """Where every question is answered the section says so."""
    from dataclasses import replace

    made = asked(load="water heater", power="3 kW")
    bare = replace(made, answer=replace(made.answer, asked=()))
    assert quick_paper(bare, Show(), "2025-11-03").sections[2].blocks == ()
