"""Stages are made once, made again when something they rest on changed, and never taken from a damaged or foreign store."""

from dataclasses import dataclass

import pytest
from hypothesis import given, strategies as st

from wattwright.core.errors import Cancelled, OwnFault
from wattwright.core.progress import Reporting
from wattwright.job import graph
from wattwright.job.cache import FOLDER, Shelf
from wattwright.job.graph import Graph, Stage, State

ROOMS = ("wattwright.demand",)


@dataclass(frozen=True)
class Number:
    """A result for the tests."""

    value: int


class Works:
    """Four stages: twice rests on a, far on twice and alone; counts how often each is made."""

    def __init__(self, folder, **given):
        self.made = dict.fromkeys(("a", "twice", "alone", "far"), 0)
        self.given = {"a": 1, "alone": 10, "twice": 2, **given}
        self.folder = folder

    def graph(self):
        """A fresh graph over the same shelf, as the next run has it."""
        return Graph({name: self.stage(name, *needs) for name, *needs in (
            ("a",), ("twice", "a"), ("alone",), ("far", "twice", "alone"),
        )}, Shelf(self.folder))  # fmt: skip

    def stage(self, name, *needs):
        def make(*parts):
            *below, progress = parts
            progress.at(name, 0, 1)
            self.made[name] += 1
            return Number(self.given.get(name, 0) + sum(one.value for one in below))

        return Stage(name, Number, needs, lambda: self.given.get(name), ROOMS, make)


def test_result_is_made_once_and_reused(tmp_path):
    """Asked twice in one run and again in the next, each stage is made once; far = (1 + 2) + 10 = 13."""
    works = Works(tmp_path)
    graph = works.graph()
    assert graph.state("far") is State.MISSING
    assert graph.result("far") == graph.result("far") == Number(13)
    assert works.graph().result("far") == Number(13)
    assert works.made == {"a": 1, "twice": 1, "alone": 1, "far": 1}
    assert {works.graph().state(name) for name in graph.names()} == {State.READY}
    assert graph.state("a") is State.READY


@pytest.mark.parametrize(
    ("changed", "again"),
    [("a", {"a", "twice", "far"}), ("twice", {"twice", "far"}), ("alone", {"alone", "far"}), ("nothing", set())],
)
def test_change_makes_again_what_rests_on_it_and_nothing_else(tmp_path, changed, again):
    """Stages that rest on the changed input are stale and made again; the others are taken as they are."""
    works = Works(tmp_path)
    works.graph().result("far")
    works.given[changed] = 100
    graph = works.graph()
    stale = {name for name in graph.names() if graph.state(name) is State.STALE}
    assert stale == again
    graph.result("far")
    assert {name for name, count in works.made.items() if count == 2} == again


def test_change_back_is_made_again_since_only_the_last_is_kept(tmp_path):
    """One result a stage lies on the shelf; going back to earlier inputs makes it again."""
    works = Works(tmp_path)
    for value in (1, 2, 1):
        works.given["alone"] = value
        works.graph().result("alone")
    assert works.made["alone"] == 3
    assert len(list((tmp_path / FOLDER).glob("alone.*.zip"))) == 1


@pytest.mark.parametrize("damage", [b"", b"junk", None])
def test_damaged_result_is_made_again(tmp_path, damage):
    """A stored result that cannot be read counts as none, and is replaced by a good one."""
    works = Works(tmp_path)
    works.graph().result("alone")
    (path,) = (tmp_path / FOLDER).glob("alone.*.zip")
    path.write_bytes(path.read_bytes()[:-30] if damage is None else damage)
    assert works.graph().state("alone") is State.MISSING
    assert works.graph().result("alone") == Number(10)
    assert works.made["alone"] == 2
    assert works.graph().state("alone") is State.READY


def test_result_that_may_not_be_read_is_none(tmp_path, monkeypatch):
    """A store whose file refuses to be read is no reason to fail."""
    shelf = Shelf(tmp_path)
    shelf.keep("alone", "1" * 64, Number(1))
    assert shelf.find("alone", "1" * 64, Number) == Number(1)

    def refuse(_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.read_bytes", refuse)
    assert shelf.find("alone", "1" * 64, Number) is None


def test_nothing_is_kept_without_a_folder(tmp_path, monkeypatch):
    """A bare meter file leaves nothing beside it, and is worked out anew in each run."""
    works = Works(None)
    monkeypatch.chdir(tmp_path)
    works.graph().result("far")
    graph = works.graph()
    assert graph.state("far") is State.MISSING
    graph.result("far")
    assert works.made["a"] == 2
    assert list(tmp_path.iterdir()) == []


def test_stopped_work_leaves_nothing_half_made(tmp_path):
    """Stopped in the last stage, the finished ones are kept whole and the stopped one is not there."""
    works = Works(tmp_path)
    stopping = Reporting(lambda what, *_: names.append(what), lambda: names[-1:] == ["alone"])
    names = []
    with pytest.raises(Cancelled):
        works.graph().result("far", stopping)
    assert {path.name.split(".")[0] for path in (tmp_path / FOLDER).iterdir()} == {"a", "twice", "alone"}
    works.graph().result("far")
    assert works.made == {"a": 1, "twice": 1, "alone": 1, "far": 1}


def test_changed_code_makes_again(tmp_path, monkeypatch):
    """The version of the code is part of what a result was made from."""
    works = Works(tmp_path)
    works.graph().result("alone")
    monkeypatch.setattr("wattwright.job.graph.code_version", lambda rooms: "another")
    assert works.graph().state("alone") is State.STALE


def test_shelf_keeps_stages_apart(tmp_path):
    """A stage whose name begins like another's neither drops nor stales it."""
    shelf = Shelf(tmp_path)
    shelf.keep("record-a", "1" * 64, Number(1))
    shelf.keep("record-a-b", "2" * 64, Number(2))
    shelf.keep("record", "3" * 64, Number(3))
    assert shelf.find("record-a", "1" * 64, Number) == Number(1)
    assert shelf.find("record-a-b", "2" * 64, Number) == Number(2)
    assert not shelf.has_other("record-a", "1" * 64)
    assert shelf.has_other("record-a", "9" * 64)
    assert not Shelf(None).has_other("record-a", "9" * 64)
    assert not shelf.has_other("else", "9" * 64)


@pytest.mark.parametrize("needs", [{"a": ["b"]}, {"a": ["a"]}, {"a": ["b"], "b": ["c"], "c": ["a"]}])
def test_what_is_no_graph_is_refused(needs):
    """A stage that needs itself, round about or one that is not there is a fault of ours, told at once."""
    stages = {name: Stage(name, Number, tuple(below), lambda: 0, ROOMS, lambda *_: Number(0)) for name, below in needs.items()}
    with pytest.raises(OwnFault, match="do not form a graph"):
        Graph(stages, Shelf(None))


@given(st.lists(st.lists(st.integers(0, 7), max_size=3), min_size=1, max_size=8), st.data())
def test_any_graph_makes_each_stage_it_needs_once(links, data):
    """Whatever the stages rest on, asking for one makes exactly those below it, each once, and sums their numbers."""
    made = []

    def stage(k):
        below = tuple(f"s{i}" for i in dict.fromkeys(i for i in links[k] if i < k))

        def make(*parts):
            made.append(k)
            return Number(1 + sum(one.value for one in parts[:-1]))

        return Stage(f"s{k}", Number, below, lambda: k, ROOMS, make)

    stages = {f"s{k}": stage(k) for k in range(len(links))}
    asked = data.draw(st.integers(0, len(links) - 1))

    def below(k):
        return {k}.union(*(below(i) for i in set(links[k]) if i < k))

    def value(k):
        return 1 + sum(value(i) for i in set(links[k]) if i < k)

    assert Graph(stages, Shelf(None)).result(f"s{asked}") == Number(value(asked))
    assert sorted(made) == sorted(below(asked))


def test_seed_and_libraries_are_part_of_the_fingerprint(monkeypatch):
    """Another seed, or an updated library whose data decide results, makes another fingerprint."""
    stages = {"one": Stage("one", Number, (), lambda: 1, (), lambda _progress: Number(1))}
    first = Graph(stages, Shelf(None), seed=1).fingerprint_of("one")
    assert Graph(stages, Shelf(None), seed=1).fingerprint_of("one") == first
    assert Graph(stages, Shelf(None), seed=2).fingerprint_of("one") != first
    monkeypatch.setattr(graph, "library_versions", lambda: ("holidays 999",))
    assert Graph(stages, Shelf(None), seed=1).fingerprint_of("one") != first


def test_core_is_part_of_every_stage(monkeypatch):
    """The code every room stands on is in each fingerprint, also of a stage that names no room."""
    asked = []
    monkeypatch.setattr(graph, "code_version", lambda packages: asked.append(packages) or "code")
    Graph(
        {"one": Stage("one", Number, (), lambda: 1, ("wattwright.record",), lambda _progress: Number(1))}, Shelf(None)
    ).fingerprint_of("one")
    assert asked == [("wattwright.core", "wattwright.record")]
