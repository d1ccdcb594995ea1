"""Long work in the store, on both databases."""

import pytest

from tests.store.conftest import JOB
from wattwright.store.runs import RunState
from wattwright.store.store import Store


@pytest.fixture
def job(store: Store) -> str:
    """A job without files."""
    return store.add(JOB, {}, "made")


def test_a_run_from_beginning_to_end(store: Store, job: str) -> None:
    """It waits, runs with its progress, and ends with what was told; then another may begin."""
    assert store.last_run(job, "plan") is None
    run = store.begin(job, 1, "plan", "{}")
    assert (run.state, run.is_open, run.nth, run.number) == (RunState.WAITING, True, 1, 1)
    assert store.begin(job, 1, "plan", "{}").id == run.id
    store.progress(run.id, "seeking", 3, 9)
    now = store.run(run.id)
    assert (now.state, now.doing, now.done, now.total) == (RunState.RUNNING, "seeking", 3, 9)
    store.ended(run.id, RunState.DONE, "found")
    ended = store.run(run.id)
    assert (ended.state, ended.is_open, ended.told) == (RunState.DONE, False, "found")
    assert ended.ended_s >= ended.begun_s
    assert store.open_runs() == ()
    again = store.begin(job, 1, "plan", "{}")
    assert (again.id != run.id, again.nth) == (True, 2)
    assert store.last_run(job, "plan") == again
    assert store.last_run(job, "supply") is None


def test_stop(store: Store, job: str) -> None:
    """One that waits has stopped at once; one under way is to stop, and no late progress changes that."""
    waiting = store.begin(job, 1, "plan", "{}")
    store.stop(waiting.id)
    assert store.run(waiting.id).state is RunState.STOPPED
    going = store.begin(job, 1, "plan", "{}")
    store.progress(going.id, "seeking", 1, 9)
    store.stop(going.id)
    store.progress(going.id, "seeking", 2, 9)
    assert (store.run(going.id).state, store.run(going.id).done) == (RunState.STOPPING, 1)
    assert [one.id for one in store.open_runs()] == [going.id]
    store.ended(going.id, RunState.STOPPED)
    store.stop(going.id)
    assert store.run(going.id).state is RunState.STOPPED


def test_runs_go_with_their_job(store: Store, job: str) -> None:
    """A removed job leaves no work behind."""
    store.begin(job, 1, "plan", "{}")
    store.remove(job, 1)
    assert store.open_runs() == ()
