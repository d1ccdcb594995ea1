"""Long work in the browser with the real program: seen, reloaded, stopped, and taken up again after the server was killed."""

import os
import signal
from pathlib import Path

import pytest

from tests.web.conftest import end, start

PATIENCE_MS = 120_000


@pytest.fixture
def page(browser):
    """An empty page."""
    context = browser.new_context(viewport={"width": 390, "height": 900})
    yield context.new_page()
    context.close()


def test_stopped_and_taken_up_again(root: Path, demo_folder: Path, tmp_path: Path, page) -> None:
    """A plan is sought; reloading shows it going on; killed with the server it goes on at the next start; it can be stopped."""
    running = start(root, str(demo_folder), folder=tmp_path)
    page.set_default_timeout(PATIENCE_MS)
    page.goto(running.at("/plan"))
    page.get_by_label("Plans to try").fill("40")
    page.get_by_role("button", name="Seek a plan").click()
    page.locator("#run[data-run]").wait_for()
    page.reload()
    page.locator("#run[data-run]").get_by_text(" of ").first.wait_for()
    os.kill(running.process.pid, signal.SIGKILL)
    running.process.communicate()

    again = start(root, folder=tmp_path)
    page.goto(again.address + running.job + "/plan")
    assert page.locator("#run[data-run]").count() == 1
    page.locator("#run[data-run]").get_by_text(" of ").first.wait_for()
    page.get_by_role("button", name="Stop it").click()
    page.get_by_text("The work asked for last was stopped.").wait_for()
    assert page.locator("#run[data-run]").count() == 0
    assert page.get_by_role("button", name="Seek a plan").count() == 1
    assert end(again) == (0, "")
