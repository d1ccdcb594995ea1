"""Pictures read out and drawn larger in the browser: under the pointer, by the keys and by the buttons, and seen by a reader."""

import pytest

SEE = "(one) => one.scrollIntoView({block: 'center'})"


class Figure:
    """A picture of an open page."""

    def __init__(self, page, id_: str) -> None:
        self.page, self.figure = page, page.locator(f"#{id_}")
        self.place = next(one for one in self.figure.locator("[data-reading]").all() if one.is_visible())
        self.place.evaluate(SEE)
        page.wait_for_function("(one) => one.dataset.drawn === 'here'", arg=self.place.element_handle())

    @property
    def read(self) -> str:
        """What is read out."""
        return self.figure.locator("output").text_content()

    def keys(self, *names: str) -> str:
        """Press keys on the picture, and return what is read out then."""
        self.place.focus()
        for name in names:
            before = self.read
            self.page.keyboard.press(name)
            self.page.wait_for_function("([one, old]) => one.textContent !== old", arg=[self.output, before])
        return self.read

    @property
    def output(self):
        """The live region itself."""
        return self.figure.locator("output").element_handle()

    def at(self, share: float, down: float = 0.3) -> None:
        """Point at a share of the breadth and of the height."""
        box = self.place.bounding_box()
        self.page.mouse.move(box["x"] + box["width"] * share, box["y"] + box["height"] * down)

    def shown_after(self, do) -> str:
        """What of the picture is shown after something was done."""
        before = self.figure.get_attribute("data-shown")
        do()
        self.page.wait_for_function("([one, old]) => one.dataset.shown !== old", arg=[self.figure.element_handle(), before])
        return self.figure.get_attribute("data-shown")


@pytest.mark.parametrize("width", [1440, 390])
def test_brush_cursor_and_keys(open_page, width: int) -> None:
    """A stretch drawn over, zoomed to single readings, moved and left again; the arrow keys tell each column."""
    seen = open_page("/demand", width)
    page, picture = seen.page, Figure(seen.page, "readings")
    title = picture.figure.locator("figcaption")
    whole = title.text_content()
    assert whole.startswith("2025-01-01 00:00 to 2026-01-01 00:00")
    assert picture.figure.locator("output").get_attribute("aria-live") == "polite"
    first = picture.keys("Home")
    assert first.startswith("2025-01-01 00:00: greatest ")
    assert picture.keys("ArrowRight") != first
    assert picture.keys("ArrowLeft") == first

    def brushed() -> None:
        picture.at(0.4)
        page.mouse.down()
        picture.at(0.41)
        picture.at(0.42)
        page.mouse.up()

    assert picture.shown_after(brushed).startswith("?from=")
    assert "2025-0" in title.text_content()
    assert title.text_content() != whole
    for _ in range(4):
        picture.keys("Home")
        picture.shown_after(lambda: page.keyboard.press("+"))
    assert picture.figure.locator(".step").text_content().startswith("Each reading is shown")
    assert all("from=" in one.get_attribute("href") for one in picture.figure.locator("[data-stretch]").all())
    near = title.text_content()
    picture.shown_after(picture.figure.locator("[data-move=later]").click)
    picture.shown_after(picture.figure.locator("[data-move=earlier]").click)
    assert title.text_content() == near
    picture.shown_after(picture.figure.locator("[data-move=out]").click)
    picture.place.focus()
    assert picture.shown_after(lambda: page.keyboard.press("Escape")) == "all"
    assert title.text_content() == whole
    assert [one for one in seen.told if not one.startswith("log:")] == []


def test_year_map_to_a_month_and_back(open_page) -> None:
    """Day and hour are read out both ways; a month is drawn over, its downloads are those of the month, and Escape shows all."""
    seen = open_page("/demand")
    picture = Figure(seen.page, "year-heat")
    assert picture.keys("Home").startswith("2025-01-01 00:00: ")
    assert picture.keys("ArrowDown", "ArrowDown", "ArrowRight").startswith("2025-01-02 02:00: ")
    assert picture.keys("End").startswith("2025-12-31 02:00: ")
    assert picture.figure.locator(".mark-here").count() == 1

    def month() -> None:
        picture.at(0.5)
        seen.page.mouse.down()
        picture.at(0.55)
        picture.at(0.58)
        seen.page.mouse.up()

    assert picture.shown_after(month).startswith("?from=")
    assert "Shown here: 2025-0" in picture.figure.locator(".step").text_content()
    picture.at(0.5)
    assert picture.read.startswith("2025-0")
    picture.place.focus()
    assert picture.shown_after(lambda: seen.page.keyboard.press("Escape")) == "all"
    assert [one for one in seen.told if not one.startswith("log:")] == []


@pytest.mark.parametrize(
    ("id_", "told", "plots"),
    [("typical-days", "median ", 4), ("duration", " of the time: ", 2), ("peaks", " min: ", 6), ("months", " kWh, ", 1)],
)
def test_each_picture_is_read_out(open_page, id_: str, told: str, plots: int) -> None:
    """Under the pointer and by the keys; the arrow down leads through all plots of a picture."""
    picture = Figure(open_page("/demand").page, id_)
    picture.at(0.3)
    picture.page.wait_for_function("(one) => one.textContent !== ''", arg=picture.output)
    assert told in picture.read
    picture.keys("Home")
    heard = {picture.read}
    for _ in range(plots - 1):
        heard.add(picture.keys("ArrowDown"))
    assert len(heard) == plots
    picture.page.keyboard.press("ArrowDown")
    assert picture.read in heard


def test_without_a_script_nothing_promises_it(open_page) -> None:
    """Without a script there are the whole picture and its figures, and no button that would do nothing."""
    page = open_page("/demand", java_script_enabled=False).page
    assert [one for one in page.locator(".moves, .read").all() if one.is_visible()] == []
