"""Pictures read out and drawn larger in the browser: under the pointer, by the keys and by the buttons, and seen by a reader."""

import random

import pytest

SEE = "(one) => one.scrollIntoView({block: 'center'})"
WORDS = "async ([one, query]) => (await fetch(`${one.dataset.reading}&${query}`)).json()"
"""What is read out of a stretch, as the server says it."""
FIRST = """(one) => {
    const { x, y, width, height } = one.querySelector("path.background").getBoundingClientRect();
    return [x, y, width, height];
}"""
"""Where the first plot of a drawing lies, without its axes."""


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

    def told(self) -> set[str]:
        """All that the server says of the whole picture, place by place, as it is read out."""
        plots = self.page.evaluate("async (one) => (await fetch(one.dataset.reading)).json()", self.place.element_handle())[
            "plots"
        ]
        places = [
            (" ".join(filter(None, (column, line))), cell)
            for one in plots
            for line, row in zip(one["lines"] or [""] * len(one["cells"]), one["cells"], strict=True)
            for column, cell in zip(one["columns"], row, strict=True)
        ]
        return {": ".join(filter(None, one)) for one in places}

    def across(self, share: float) -> None:
        """Point at a share of the breadth of the first plot itself."""
        plot = self.place.locator("g.role-scope").first
        x, y, width, height = plot.evaluate(FIRST)
        self.page.mouse.move(x + width * share, y + height * 0.4)

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

    assert picture.shown_after(brushed).startswith("from=")
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

    assert picture.shown_after(month).startswith("from=")
    assert "Shown here: 2025-0" in picture.figure.locator(".step").text_content()
    picture.at(0.5)
    assert picture.read.startswith("2025-0")
    picture.place.focus()
    assert picture.shown_after(lambda: seen.page.keyboard.press("Escape")) == "all"
    assert [one for one in seen.told if not one.startswith("log:")] == []


@pytest.mark.parametrize(("width", "scheme"), [(1440, "light"), (390, "dark")])
def test_any_stretch_of_the_simulated_day(open_page, width: int, scheme: str) -> None:
    """Drawn over or asked for by a key, a stretch holds what was asked for, and each place says what the server says of it."""
    seen, rng = open_page("/plan", width, scheme), random.Random(2027)
    page, picture = seen.page, Figure(seen.page, "simulated")
    picture.keys("Home")
    for by_key in (False, True, False, True):
        begin = rng.random()

        def ask(begin: float = begin, by_key: bool = by_key) -> None:
            picture.across(begin)
            if by_key:
                return page.keyboard.press("+")
            page.mouse.down()
            picture.across(min(begin + 0.1, 1.2))
            picture.across(min(begin + 0.3, 1.2))
            return page.mouse.up()

        stretch = picture.shown_after(ask)
        asked = [float(one.partition("=")[2]) for one in stretch.split("&")]
        (words,) = page.evaluate(WORDS, [picture.place.element_handle(), stretch])["plots"]
        edges, told = words["edges"], [": ".join(one) for one in zip(words["columns"], words["cells"][0], strict=True)]
        assert edges[0] <= asked[0] + 1e-9
        assert edges[-1] >= asked[1] - 1e-9
        assert (picture.keys("Home"), picture.keys("End")) == (told[0], told[-1])
        column = rng.randrange(len(told))
        picture.across((column + 0.5) / len(told))
        page.wait_for_function("([one, wanted]) => one.textContent === wanted", arg=[picture.output, told[column]])
        picture.place.focus()
        assert picture.shown_after(lambda: page.keyboard.press("Escape")) == "all"
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


def test_ends_of_places_that_stand_one_below_another(open_page) -> None:
    """Of bars one below another Home and End read out the first and the last."""
    picture = Figure(open_page("/tariff").page, "tariffs")
    first = picture.keys("Home")
    second, third = picture.keys("ArrowDown"), picture.keys("ArrowDown")
    assert len({first, second, third}) == 3
    assert picture.keys("Home") == first
    assert picture.keys("End") == third


def test_a_telephone_reads_out_along_its_foot(open_page) -> None:
    """Nothing is kept free before one reads, nothing moves while one does, and what was read is let go with the picture."""
    page = open_page("/demand", 390, has_touch=True).page
    picture = Figure(page, "typical-days")
    tall = "document.documentElement.scrollHeight"
    page.evaluate("document.fonts.ready")
    line = picture.figure.locator(".read")
    assert line.inner_text().endswith("Touch a place to read it out.")
    assert [line.locator(one).evaluate("(one) => one.offsetHeight > 1") for one in (".touch", ".keys")] == [True, False]
    assert line.bounding_box()["height"] < 30
    before = page.evaluate(tall)
    box = picture.place.bounding_box()
    page.touchscreen.tap(box["x"] + box["width"] * 0.4, box["y"] + box["height"] * 0.3)
    page.wait_for_function("(one) => one.textContent !== ''", arg=picture.output)
    foot = picture.figure.locator("output").bounding_box()
    assert (round(foot["x"]), round(foot["width"]), round(foot["y"] + foot["height"])) == (0, 390, 900)
    assert page.evaluate(tall) == before
    page.evaluate("scrollTo(0, 0)")
    page.wait_for_function("(one) => one.textContent === ''", arg=picture.output)
    picture.place.evaluate(SEE)
    picture.keys("Home")
    page.locator("h1").evaluate("(one) => one.dispatchEvent(new PointerEvent('pointerdown', {bubbles: true}))")
    assert picture.read == ""


def test_nothing_moves_below_what_is_read_out(open_page) -> None:
    """On a wide screen the longest words of a picture have their room from the first place on."""
    page = open_page("/demand").page
    picture = Figure(page, "typical-days")
    picture.keys("Home")
    line = picture.figure.locator(".read")
    tall = line.bounding_box()["height"]
    page.evaluate("(one) => { one.textContent = 'word '.repeat(40); }", picture.output)
    assert line.bounding_box()["height"] > tall
    heights = set()
    for _ in range(12):
        picture.keys("ArrowRight")
        heights.add(line.bounding_box()["height"])
    assert heights == {tall}


def test_a_stretch_that_cannot_be_had_is_told(open_page) -> None:
    """The picture stays as it is and says what to do; asked again it is drawn."""
    page = open_page("/demand").page
    picture = Figure(page, "year-heat")
    picture.keys("Home")
    page.route("**/drawings/year-heat.*from=*", lambda route: route.abort())
    assert picture.keys("+").startswith("This part could not be drawn")
    page.unroute("**/drawings/year-heat.*from=*")
    assert picture.shown_after(lambda: page.keyboard.press("+")).startswith("from=")


def test_without_a_script_nothing_promises_it(open_page) -> None:
    """Without a script there are the whole picture and its figures, and no button that would do nothing."""
    page = open_page("/demand", java_script_enabled=False).page
    assert [one for one in page.locator(".moves, .read").all() if one.is_visible()] == []
