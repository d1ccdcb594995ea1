"""What each template of the desk is given: a frozen dataclass for each, whose fields are all that the template may use."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from wattwright.core.errors import Fault
from wattwright.handover.page import Drawn, Take
from wattwright.web.failing import Failing
from wattwright.web.forms import Form
from wattwright.web.links import Links
from wattwright.web.next_steps import Step
from wattwright.web.stages import StageState


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands around every page.

    `links` makes addresses; `language` is the page's; `token` is sent along with every form; `job` is the job's id, empty
    outside of one; `stages` its contents line; `current` the name of the page one is on, `current_title` its title.
    """

    links: Links
    language: str
    token: str = ""
    job: str = ""
    stages: tuple[StageState, ...] = ()
    current: str = ""
    current_title: str = ""


@dataclass(frozen=True, slots=True)
class Revised:
    """The revision a page shows: its number, what made it, and what undo and redo would take back or make again."""

    number: int
    cause: str
    undo: str
    redo: str


@dataclass(frozen=True, slots=True)
class Change:
    """A key figure before and after the last change."""

    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class RunView:
    """Long work as a page shows it: id, whether it goes on, what it does or how it ended, and how much is done of what."""

    id: str
    is_open: bool
    words: str
    done: float
    total: float
    grave: bool


@dataclass(frozen=True, slots=True)
class Taken:
    """A paper to look at or to take along: name, what it is, where it is shown and where it is given (empty: nowhere)."""

    name: str
    title: str
    shown: str
    address: str


@dataclass(frozen=True, slots=True)
class DrawingView:
    """A drawing of the equipment: title, address, and what of it can be looked at and taken along."""

    title: str
    address: str
    takes: tuple[Take, ...]


@dataclass(frozen=True, slots=True)
class SheetPage:
    """A page of a job.

    `frame` and `revised` as they say; `paper` is the page as a paper in plain data, `pictures` its drawings by id. `note` says
    what came of a change that was not saved, `faults` what is wrong beside any field. `changes` are key figures that the last
    change moved, `changed_from` the revision before it; `missing` what the page lacks, `next` the next useful step. `cures` leads
    from the code of a finding to the field that cures it. `forms`, `run`, `taken`, `all_taken` (address of all papers) and
    `drawings` are what can be changed, is under way, and can be taken along. `making` is where it is told that the page is made,
    empty where it is; `stale` says that what is shown meanwhile is of an earlier state of the job.
    """

    frame: Frame
    revised: Revised
    paper: Mapping[str, Any]
    pictures: Mapping[str, Drawn]
    note: str
    faults: tuple[Fault, ...]
    changes: tuple[Change, ...]
    changed_from: int
    missing: tuple[Step, ...]
    next: Step | None
    cures: Mapping[str, str]
    forms: tuple[Form, ...]
    run: RunView | None
    taken: tuple[Taken, ...]
    all_taken: str
    drawings: tuple[DrawingView, ...]
    making: str
    stale: bool


@dataclass(frozen=True, slots=True)
class PaperPage:
    """A paper, or the figures behind a picture, shown as a page; `back` leads to where one came from, `back_title` names it.

    `making` is where it is told that the page is made, empty where it is; `takes` are files of it to take along.
    """

    frame: Frame
    paper: Mapping[str, Any]
    pictures: Mapping[str, Drawn]
    back: str
    back_title: str
    making: str
    takes: tuple[Take, ...] = ()


@dataclass(frozen=True, slots=True)
class JobLine:
    """A job in the list: name, place, address, what was changed last and when (on the clock of this machine)."""

    name: str
    place: str
    address: str
    cause: str
    when: str


@dataclass(frozen=True, slots=True)
class StartPage:
    """The list of jobs, the last changed first, the forms that add one, and the time zones that may be chosen."""

    frame: Frame
    jobs: tuple[JobLine, ...]
    forms: tuple[Form, ...]
    note: str
    zones: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TextPage:
    """The job file as text, to be changed; `faults` are what is wrong with it, `note` why it was not saved."""

    frame: Frame
    revised: Revised
    title: str
    action: str
    text: str
    note: str
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class QuickPage:
    """Quick answers for one load: the answer as a paper in plain data (empty sections: nothing was asked yet), and the forms.

    `note` and `faults` say what cannot be answered as it was asked; `pictures` are none.
    """

    frame: Frame
    paper: Mapping[str, Any]
    pictures: Mapping[str, Drawn]
    note: str
    faults: tuple[Fault, ...]
    forms: tuple[Form, ...]


@dataclass(frozen=True, slots=True)
class FailingPage:
    """What is wrong, and what to do; `removal` removes a job that cannot be opened, at its revision `base`.

    `revised` is what holds of the job where the fault is ours.
    """

    frame: Frame
    failing: Failing
    removal: Form | None = None
    base: int = 0
    revised: Revised | None = None
