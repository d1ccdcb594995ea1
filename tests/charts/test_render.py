"""Pictures are drawn the same each time, with our own type, in light and dark, and say in words what they show."""

import hashlib
import io
import json
import os
import re
import subprocess
import sys
import time
import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor

import jsonschema
import pytest
import vl_convert
from PIL import Image

from tests.charts import gallery
from wattwright.charts import render
from wattwright.charts.fonts import FURTHER_RANGE, LATIN_RANGE, font_directory, web_faces
from wattwright.charts.palette import GROUND, css_variables, dark_of
from wattwright.charts.picture import COLUMN_PX, FULL_PX, NARROW_PX
from wattwright.charts.render import drawn_width_px, for_page, live_drawing, png, svg, themed, titled
from wattwright.core.errors import OwnFault

HASHES = """
import hashlib, json
from tests.charts import gallery
from wattwright.charts.render import for_page, png, svg
made = {}
for make in reversed(gallery.MAKERS):
    picture = make()
    texts = [json.dumps(picture.spec), svg(picture.spec), for_page(picture)]
    made[make.__name__] = [hashlib.sha256(t.encode()).hexdigest() for t in texts]
    made[make.__name__].append(hashlib.sha256(png(picture.spec, 1)).hexdigest())
print(json.dumps(made))
"""


def environment(root) -> dict[str, str]:
    """What a second process needs to find package and tests."""
    return {**os.environ, "PYTHONPATH": os.pathsep.join([str(root / "src"), str(root)])}


@pytest.fixture(scope="module")
def pictures() -> dict:
    """The gallery by maker."""
    return {make.__name__: make() for make in gallery.MAKERS}


def test_bytes_are_the_same_in_another_process_and_order(pictures, root) -> None:
    """Specification, SVG, inline SVG and PNG of every picture are equal in a second process that draws in reverse order."""
    done = subprocess.run([sys.executable, "-c", HASHES], capture_output=True, text=True, check=True, env=environment(root))
    there = json.loads(done.stdout)
    for name, picture in pictures.items():
        texts = [json.dumps(picture.spec), svg(picture.spec), for_page(picture)]
        here = [hashlib.sha256(t.encode()).hexdigest() for t in texts] + [hashlib.sha256(png(picture.spec, 1)).hexdigest()]
        assert here == there[name], name


@pytest.mark.parametrize("make", gallery.MAKERS)
def test_drawn_width_is_the_promised_one(pictures, make) -> None:
    """Wide and narrow drawings are within 4 % of the width they promise, so type has one size in all of them."""
    picture = pictures[make.__name__]
    assert picture.width_px in (COLUMN_PX, FULL_PX)
    assert drawn_width_px(svg(picture.spec)) == pytest.approx(picture.width_px, rel=0.04)
    assert drawn_width_px(svg(picture.narrow)) == pytest.approx(NARROW_PX, rel=0.06)


@pytest.mark.parametrize("make", gallery.MAKERS)
def test_page_drawing_is_named_and_has_no_fixed_colour(pictures, make) -> None:
    """An inline drawing is well-formed, titled and described, has ids of its own, and takes its colours from the page."""
    picture = pictures[make.__name__]
    for narrow in (False, True):
        text = for_page(picture, narrow)
        tree = ET.fromstring(text)
        space = "{http://www.w3.org/2000/svg}"
        assert tree.find(f"{space}title").text == picture.title
        assert tree.find(f"{space}desc").text == picture.alt
        assert re.findall(r"#[0-9A-Fa-f]{3,8}\b(?!-)", re.sub(r"url\(#[^)]*\)", "", text)) == []
        used = set(re.findall(r"var\((--[\w-]+)\)", text))
        assert used <= set(css_variables())
        ids = re.findall(r'\bid="([^"]+)"', text)
        prefix = f"{picture.id}-n-" if narrow else f"{picture.id}-"
        assert len(ids) == len(set(ids))
        assert all(name.startswith(prefix) for name in ids)


@pytest.mark.parametrize("make", gallery.MAKERS)
def test_only_our_own_type(pictures, make) -> None:
    """Every text of a drawing names our family first, and is at least 11 px."""
    text = svg(pictures[make.__name__].spec)
    assert set(re.findall(r'font-family="([^"]*)"', text)) == {"Wattwright Sans"}
    assert {float(size) for size in re.findall(r'font-size="([\d.]+)px"', text)} == {11.0}


@pytest.mark.parametrize("make", [gallery.profile, gallery.duration, gallery.bill, gallery.months, gallery.peaks])
def test_value_axes_start_at_zero(pictures, make) -> None:
    """Every upright scale of field p begins at zero."""

    def scales(node):
        if isinstance(node, dict):
            y = node.get("y")
            if isinstance(y, dict) and y.get("field") == "p" and "scale" in y:
                yield y["scale"]["domain"][0]
            for part in node.values():
                yield from scales(part)
        elif isinstance(node, list):
            for part in node:
                yield from scales(part)

    found = list(scales(pictures[make.__name__].spec))
    assert found
    assert set(found) == {0}


@pytest.fixture(scope="module")
def vega_lite() -> jsonschema.Draft7Validator:
    """The schema of the language that altair ships; nothing is held against it when a picture is made."""
    from importlib import resources

    schema = json.loads(resources.files("altair.vegalite").joinpath("v6/schema/vega-lite-schema.json").read_text())
    return jsonschema.Draft7Validator(schema)


@pytest.mark.parametrize("make", [*gallery.MAKERS, gallery.hidden, gallery.simulated])
def test_specification_is_vega_lite(vega_lite, make) -> None:
    """Each themed specification is valid by the schema, for paper and in the form for a telephone."""
    made = make()
    for spec in (made.spec, made.narrow):
        assert vega_lite.is_valid(json.loads(json.dumps(themed(spec, "dark"))))


def test_dark_drawing_has_no_light_shade(pictures) -> None:
    """On dark paper each light shade has become its dark one."""
    text = svg(themed(pictures["bill"].spec, "dark"), "dark").upper()
    assert not any(shade in text for shade in dark_of())
    assert dark_of()["#1D2421"] in text


def test_png_has_the_paper_as_ground_and_the_scale_asked(pictures) -> None:
    """A PNG is as wide as its drawing times the scale, and its corner is the paper of its mode."""
    spec = pictures["compare"].spec
    one, two = (Image.open(io.BytesIO(png(spec, scale, "dark"))) for scale in (1, 2))
    assert two.width == pytest.approx(2 * one.width, abs=1)
    assert one.convert("RGB").getpixel((0, 0)) == (0x16, 0x1A, 0x19)


def test_a_picture_that_leaves_its_paper_keeps_title_and_source(pictures) -> None:
    """Title, source and step are drawn into the picture, escaped."""
    text = svg(titled(pictures["strip"]))
    for words in ("96 % of the readings are there", "Invented meter on the main supply", "Drawn from 15-minute means."):
        assert words in text


def test_narrow_form_must_be_there(pictures) -> None:
    """Asking for a narrow form that was never made says so; so does a text that is no drawing."""
    from dataclasses import replace

    with pytest.raises(OwnFault, match="no narrow form"):
        for_page(replace(pictures["strip"], narrow=None), narrow=True)
    with pytest.raises(OwnFault, match="without a width"):
        drawn_width_px("<svg/>")


def test_markup_in_words_stays_words(pictures) -> None:
    """A title with markup in it is shown as written and opens no element."""
    from dataclasses import replace

    text = for_page(replace(pictures["strip"], title="<script>a & b</script>"))
    assert "<script>" not in text
    assert ET.fromstring(text)[0].text == "<script>a & b</script>"


def test_fonts_are_small_and_complete() -> None:
    """All font files together stay under 1.5 MB, none over 900 kB, and the licence lies beside them."""
    files = list(font_directory().iterdir())
    assert sum(f.stat().st_size for f in files) < 1_500_000
    assert max(f.stat().st_size for f in files) < 900_000
    assert "SIL OPEN FONT LICENSE Version 1.1" in (font_directory() / "OFL.txt").read_text(encoding="utf-8")


def test_page_takes_only_the_fonts_its_text_needs() -> None:
    """Latin text takes four files of the first range; a Cyrillic letter brings the four of the second."""
    assert [face.unicode_range for face in web_faces("kWh, 4 °C")] == [LATIN_RANGE] * 4
    assert [face.unicode_range for face in web_faces("Щит")].count(FURTHER_RANGE) == 4


def test_one_thread_draws_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Threads that draw at once take turns inside the renderer, whose own lock would let two wait for each other for ever."""
    inside: list[int] = []
    most = []

    def slow(spec: dict, vl_version: str) -> dict:
        inside.append(1)
        time.sleep(0.02)
        most.append(len(inside))
        inside.pop()
        return dict(spec)

    monkeypatch.setattr(vl_convert, "vegalite_to_vega", slow)
    with ThreadPoolExecutor(4) as pool:
        drawn = list(pool.map(live_drawing, [{"mark": "bar"}] * 8))
    assert most == [1] * 8
    assert all(one["colours"][GROUND["ink"].light] == "var(--ink)" for one in drawn)


def test_a_picture_is_drawn_once(pictures, monkeypatch: pytest.MonkeyPatch) -> None:
    """Drawn again with other names inside, the renderer is not asked; for dark paper, or another picture, it is."""
    asked, drawn = [], vl_convert.vegalite_to_svg

    def counted(spec: str, vl_version: str) -> str:
        asked.append(spec)
        return drawn(spec, vl_version=vl_version)

    monkeypatch.setattr(vl_convert, "vegalite_to_svg", counted)
    render._drawn.cache_clear()
    one, other = [picture.spec for picture in pictures.values()][:2]
    first = svg(one, prefix="a")
    assert svg(one, prefix="b").replace('id="b-', 'id="a-').replace("url(#b-", "url(#a-") == first
    assert len(asked) == 1
    assert svg(one, "dark", "a") != first
    assert svg(other, prefix="a") != first
    assert len(asked) == 3
    render._drawn.cache_clear()
    assert svg(one, prefix="a") == first
    assert len(asked) == 4
