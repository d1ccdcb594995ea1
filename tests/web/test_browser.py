"""The desk as a person sees it: the real program, opened in Chromium at two widths, light and dark."""

import io
import re
from itertools import pairwise
from urllib.parse import urlsplit

import pytest
from PIL import Image

from wattwright.charts.palette import GROUND
from wattwright.handover.page import style_sheet
from wattwright.web.assets import asset
from wattwright.web.links import SHEETS, links

PAGES = ("/meter-files", "/demand")
EVERY_PAGE = ("/", *(f"/{one}" for one in SHEETS))
WIDTHS = (390, 1440)
SCHEMES = ("light", "dark")
TOUCH_PX = 44

# Brings every picture into sight, one after the other, and waits until it is drawn: a busy machine may need its time.
SEE_ALL = """async () => {
  const shown = [...document.querySelectorAll("[data-drawing]")].filter((one) => one.offsetParent);
  for (const one of shown) {
    for (let i = 0; i < 600 && !one.dataset.drawn; i++) {
      one.scrollIntoView({ block: i % 2 ? "start" : "center" });
      await new Promise((done) => setTimeout(done, 50));
    }
  }
  return [shown.length, shown.filter((one) => one.dataset.drawn === "here").length];
}"""
OVERFLOW = "() => [document.documentElement.scrollWidth, innerWidth]"
COLOURS = """() => [...document.querySelectorAll("body *")]
  .filter((one) => !one.closest("svg") && [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim()))
  .map((one) => getComputedStyle(one).color)"""
TARGETS = """() => [...document.querySelectorAll(
    "a[href]:not(.skip), summary, button, select, input:not([type=hidden])")]
  .filter((one) => one.offsetParent)
  .map((one) => (one.type === "checkbox" ? one.closest("label") : one))
  .map((one) => [one.textContent, Math.min(one.getBoundingClientRect().height, one.getBoundingClientRect().width)])"""
BOXES = """() => [...document.querySelectorAll(".reach, .drawing")].filter((one) => one.offsetParent)
  .map((one) => [one.getBoundingClientRect().right, innerWidth, one.scrollWidth > one.clientWidth,
    getComputedStyle(one).overflowX])"""


def luminance(colour: str) -> float:
    """Relative luminance of `#RRGGBB` (WCAG 2.2)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours (WCAG 2.2)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def as_hex(computed: str) -> str:
    """`rgb(29, 36, 33)` as `#1D2421`."""
    return "#" + "".join(f"{int(part):02X}" for part in re.findall(r"\d+", computed)[:3])


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("path", EVERY_PAGE)
def test_page_at_width_and_scheme(open_page, running, path: str, width: int, scheme: str) -> None:
    """No sideways scrolling, nothing in the console, all from the own origin, every picture drawn here, every colour readable."""
    seen = open_page(path, width, scheme)
    shown, drawn = seen.page.evaluate(SEE_ALL)
    assert shown == drawn
    assert (shown > 0) == (path in (*PAGES, "/tariff", "/plan"))
    scrolled, inner = seen.page.evaluate(OVERFLOW)
    assert scrolled <= inner
    assert seen.told == []
    assert {"{0.scheme}://{0.netloc}".format(urlsplit(url)) for url in seen.asked} == {running.address}
    assert seen.page.evaluate("document.querySelectorAll('style').length") == 0
    paper = getattr(GROUND["paper"], scheme)
    assert as_hex(seen.page.evaluate("getComputedStyle(document.documentElement).backgroundColor")) == paper
    used = {as_hex(one) for one in seen.page.evaluate(COLOURS)}
    assert used <= {getattr(shade, scheme) for shade in GROUND.values()}
    assert {one: contrast(one, paper) for one in used if contrast(one, paper) < 4.5} == {}


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("path", [*EVERY_PAGE, "/demand/figures/year-heat", "/nowhere"])
def test_targets_and_boxes(open_page, path: str, width: int) -> None:
    """Whatever can be touched is 44 px high; what is too wide moves in its own box, which ends within the page."""
    page = open_page(path, width).page
    assert [one for one in page.evaluate(TARGETS) if one[1] < TOUCH_PX - 0.01] == []
    boxes = page.evaluate(BOXES)
    assert [one for one in boxes if one[0] > one[1] or one[3] != "auto"] == []
    if path in (*PAGES, "/nowhere", "/demand/figures/year-heat"):
        assert any(one[2] for one in boxes) == ((width == 390 and path != "/nowhere") or path.endswith("year-heat"))
    scrolled, inner = page.evaluate(OVERFLOW)
    assert scrolled <= inner


@pytest.mark.parametrize("path", [*EVERY_PAGE, "/nowhere"])
def test_narrowest(open_page, path: str) -> None:
    """At 360 px nothing moves sideways either."""
    scrolled, inner = open_page(path, 360).page.evaluate(OVERFLOW)
    assert scrolled <= inner == 360


@pytest.mark.parametrize("path", [*EVERY_PAGE, "/demand/figures/year-heat", "/nowhere"])
def test_headings_and_landmarks(open_page, path: str) -> None:
    """One heading of the first level, none skipped; one header and one main; each navigation has a name; the language is said."""
    page = open_page(path).page
    levels = page.evaluate("[...document.querySelectorAll('h1,h2,h3,h4,h5,h6')].map((one) => Number(one.tagName[1]))")
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels))
    assert page.evaluate("['header', 'main'].map((one) => document.querySelectorAll('body > ' + one).length)") == [1, 1]
    names = page.evaluate("[...document.querySelectorAll('nav')].map((one) => one.getAttribute('aria-label'))")
    assert all(names)
    assert len(set(names)) == len(names)
    assert page.evaluate("document.documentElement.lang") == "en"
    assert page.title()


@pytest.mark.parametrize("path", PAGES)
def test_every_picture_is_told(open_page, path: str) -> None:
    """Drawn anew or not, each picture is an image with a title and a description, and its figures are one link away."""
    page = open_page(path).page
    page.evaluate(SEE_ALL)
    told = page.evaluate(
        """() => [...document.querySelectorAll("figure")].map((figure) => ({
          words: [...figure.querySelectorAll("svg")].map((svg) => svg.getAttribute("role") + ": " +
            svg.getAttribute("aria-labelledby").split(" ").map((id) => document.getElementById(id).textContent).join(" / ")),
          links: [...figure.querySelectorAll(".take a")].map((one) => one.getAttribute("href")),
          title: figure.querySelector("figcaption").textContent }))"""
    )
    assert told
    for one in told:
        assert len(one["words"]) == 1  # the form for the other width is drawn when it comes into sight
        assert all(words.startswith(f"img: {one['title']} / ") and len(words) > len(one["title"]) + 20 for words in one["words"])
        assert [link.partition("?")[0].rpartition(".")[2] for link in one["links"]][1:] == ["csv", "svg", "png"]
        assert all("revision=" in link for link in one["links"][1:])


def test_pictures_without_script(open_page) -> None:
    """Without scripts each picture is there as one that stands still, with its words, fetched when it comes into sight."""
    still = open_page("/demand", java_script_enabled=False)
    shown = [one for one in still.page.locator("figure img").all() if one.is_visible()]
    assert len(shown) == still.page.locator("figure").count() > 0
    for one in shown:
        one.scroll_into_view_if_needed()
        still.page.wait_for_function("(one) => one.complete && one.naturalWidth > 100", arg=one.element_handle())
        assert len(one.get_attribute("alt")) > 20
    assert still.told == []


def test_pictures_that_cannot_be_drawn(open_page) -> None:
    """Where a picture cannot be drawn in the page, the one that stands still takes its place."""
    page = open_page("/demand").page
    page.route("**/*.wide.json*", lambda route: route.abort())
    page.reload()
    page.locator("[data-drawn=still] img").first.wait_for()
    page.wait_for_function("document.querySelector('[data-drawn=still] img').naturalWidth > 100")
    assert page.locator("[data-drawn=still] img").first.get_attribute("alt")


def test_drawn_pictures_follow_the_scheme(open_page) -> None:
    """A picture drawn in the page has the inks of the paper it stands on, also when the paper changes afterwards."""
    page = open_page("/demand", scheme="light").page
    page.evaluate(SEE_ALL)
    ink = "() => getComputedStyle(document.querySelector('[data-drawn] svg text')).fill"
    assert as_hex(page.evaluate(ink)) == GROUND["ink"].light
    page.emulate_media(color_scheme="dark")
    assert as_hex(page.evaluate(ink)) == GROUND["ink"].dark
    page.emulate_media(media="print")
    assert as_hex(page.evaluate(ink)) == GROUND["ink"].light
    assert page.locator(".stages").is_visible() is False
    assert page.locator(".block").is_visible()


def test_keyboard(open_page) -> None:
    """The first key press brings the way past the frame into sight; every link can be reached, each with a visible outline."""
    page = open_page("/demand").page
    page.keyboard.press("Tab")
    skip = page.evaluate("(() => { const b = document.activeElement.getBoundingClientRect(); return [b.left, b.top]; })()")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    assert min(skip) >= 0
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"
    reached = set()
    for _ in range(160):
        page.keyboard.press("Tab")
        href, style, width = page.evaluate(
            "[document.activeElement.getAttribute('href'), getComputedStyle(document.activeElement).outlineStyle,"
            " parseFloat(getComputedStyle(document.activeElement).outlineWidth)]"
        )
        if page.evaluate("document.activeElement === document.body"):
            break
        assert (style, width >= 2) == ("solid", True)
        reached.add(href)
    inside = set(page.evaluate("[...document.querySelectorAll('main a')].map((one) => one.getAttribute('href'))"))
    assert inside <= reached


def test_way_to_the_figures_and_back(open_page) -> None:
    """From a picture to its figures and back to the picture, without a script's help."""
    page = open_page("/demand", java_script_enabled=False).page
    page.locator("#typical-days .take a").first.click()
    assert "/demand/figures/typical-days?revision=" in page.url
    page.get_by_text("Back to Demand").click()
    assert page.url.endswith("/demand#typical-days")


def test_no_motion(open_page) -> None:
    """Nothing on the page moves by itself."""
    page = open_page("/demand", reduced_motion="reduce").page
    assert page.evaluate("document.getAnimations().length") == 0


def edges(page, reach) -> tuple[bool, bool]:
    """Whether a bar of the accent colour stands along the left and the right edge of a box."""
    seen = Image.open(io.BytesIO(reach.screenshot())).convert("RGB")
    accent = tuple(int(page.evaluate("getComputedStyle(document.body).getPropertyValue('--accent')").strip()[i : i + 2], 16)
                   for i in (1, 3, 5))  # fmt: skip
    return tuple(
        sum(seen.getpixel((x, y)) == accent for y in range(seen.height)) > seen.height * 0.8 for x in (1, seen.width - 2)
    )


@pytest.mark.parametrize("scheme", SCHEMES)
def test_wide_table_on_a_telephone(open_page, scheme: str) -> None:
    """Rows are low, and what reaches out of sight is told at that edge alone; the page itself does not move sideways."""
    page = open_page("/survey", 390, scheme).page
    reach = page.locator(".reach").first
    reach.evaluate("(one) => one.scrollIntoView({ block: 'start' })")
    assert reach.evaluate("(one) => one.scrollWidth > one.clientWidth")
    heights = reach.locator("tbody tr").evaluate_all("(rows) => rows.map((one) => one.getBoundingClientRect().height)")
    assert max(heights) < 80  # three lines; they were 200 px before
    assert edges(page, reach) == (False, True)
    reach.evaluate("(one) => { one.scrollLeft = 120 }")
    assert edges(page, reach) == (True, True)
    reach.evaluate("(one) => { one.scrollLeft = one.scrollWidth }")
    assert edges(page, reach) == (True, False)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.parametrize(("more_px", "told"), [(0, (False, False)), (5, (False, True)), (60, (False, True))])
@pytest.mark.parametrize("whose", ["desk", "paper"])
def test_table_hardly_too_broad(browser, whose: str, more_px: int, told: tuple[bool, bool]) -> None:
    """A last column that is cut by 5 px is told at its edge, as by 60; the demo's survey was cut so on a telephone."""
    page = browser.new_page(viewport={"width": 390, "height": 400})
    style = asset("desk.css", links()).content.decode() if whose == "desk" else style_sheet((), str)
    table = f'<table style="width: {356 + more_px}px; height: 200px"><tr><td>1</td></tr></table>'
    page.set_content(f'<style>{style}</style><div class="reach" style="width: 356px">{table}</div>')
    assert edges(page, page.locator(".reach")) == told
    page.close()


def test_narrow_table_has_no_bar(open_page) -> None:
    """Where all is in sight nothing is told."""
    page = open_page("/survey", 1440).page
    for reach in page.locator(".reach").all():
        assert edges(page, reach) == (False, False)
