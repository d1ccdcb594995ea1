"""From a chart specification to SVG and PNG, the same bytes each time."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cache, lru_cache
from threading import Lock
from typing import Any, Literal

from wattwright.charts.fonts import font_directory
from wattwright.charts.palette import GROUND, css_variables, dark_of, light
from wattwright.charts.picture import Picture
from wattwright.charts.theme import theme
from wattwright.core.errors import OwnFault

__all__ = [
    "drawing_png",
    "drawing_script",
    "drawn_width_px",
    "for_page",
    "live_drawing",
    "picture_file",
    "png",
    "svg",
    "themed",
    "titled",
]

VEGA_LITE = "5.20"
"""The version of the drawing language that specifications are read as; pinned, so that pictures do not move."""

_KEPT = 64
"""How many drawings are kept, some 0.2 MB each: page and printed report show the same pictures, the next state most of them."""
_ONE_AT_A_TIME = Lock()
_COLOUR = re.compile(r"#[0-9A-Fa-f]{6}\b")
_ID = re.compile(r'id="([^"]+)"')
_REFERENCE = re.compile(r'(\bid="|url\(#)([^")]+)("|\))')
_WIDTH = re.compile(r'<svg[^>]* width="([\d.]+)"')
_LONG = re.compile(r"-?\d+\.\d{3,}")


def themed(spec: Mapping[str, Any], mode: Literal["light", "dark"] = "light") -> dict[str, Any]:
    """The specification with the theme of light or dark paper put in; colours of the light palette become dark ones."""
    body = dict(spec) if mode == "light" else _recoloured(spec, dark_of())
    return {**body, "config": {**theme(mode), **spec.get("config", {})}}


def titled(picture: Picture) -> dict[str, Any]:
    """The picture's specification with title above and source below, for a picture that leaves its paper."""
    source = [part for part in (picture.source, picture.step) if part]
    return {
        **picture.spec,
        "title": {"text": picture.title, "subtitle": source, "subtitleColor": light("quiet"), "frame": "bounds"},
    }


def svg(spec: Mapping[str, Any], mode: Literal["light", "dark"] = "light", prefix: str = "p") -> str:
    """The drawing as SVG text; `prefix` begins every id inside it, so that drawings can share one page.

    The same specification gives the same text in any process: the renderer numbers its clip paths through a whole process, so
    they are numbered anew here, and coordinates are cut to hundredths of a pixel.
    """
    return _renumbered(_drawn(json.dumps(themed(spec, mode))), prefix)


@lru_cache(maxsize=_KEPT)
def _drawn(spec: str) -> str:
    with _renderer() as renderer:
        drawn = renderer.vegalite_to_svg(spec, vl_version=VEGA_LITE)
    return _LONG.sub(lambda found: f"{float(found[0]):.2f}".rstrip("0").rstrip("."), drawn)


def png(spec: Mapping[str, Any], scale: float = 2.0, mode: Literal["light", "dark"] = "light") -> bytes:
    """The drawing as PNG bytes on the paper's own colour, `scale` image pixels to the drawn pixel."""
    return drawing_png(svg({**spec, "background": getattr(GROUND["paper"], mode)}, mode), scale)


def drawing_png(drawn: str, scale: float = 2.0) -> bytes:
    """A drawing that is SVG already as PNG bytes, `scale` image pixels to the px of its own size."""
    with _renderer() as renderer:
        return bytes(renderer.svg_to_png(drawn, scale=scale))


def drawn_width_px(drawn: str) -> float:
    """The width in px that an SVG text states for itself. Raises OwnFault if it states none."""
    found = _WIDTH.search(drawn)
    if found is None:
        raise OwnFault("SVG without a width; draw it with svg() or for_page()")
    return float(found[1])


def for_page(picture: Picture, narrow: bool = False) -> str:
    """The drawing as inline SVG whose palette colours are CSS variables, with title and text alternative inside.

    One drawing serves light and dark paper: each exact colour of the light palette becomes `var(--its-role)`. With `narrow` the
    form for a telephone is drawn; raises OwnFault if the picture has none.
    """
    names = {shade.light: f"var({name})" for name, shade in css_variables().items()}
    spec = picture.narrow if narrow else picture.spec
    if spec is None:
        raise OwnFault(f"picture '{picture.id}' has no narrow form; draw the wide one")
    prefix = f"{picture.id}-n" if narrow else picture.id
    drawn = svg(spec, prefix=prefix)
    drawn = _COLOUR.sub(lambda found: names.get(found[0].upper(), found[0]), drawn)
    label = f'role="img" aria-labelledby="{prefix}-t {prefix}-d"'
    words = f'<title id="{prefix}-t">{_escaped(picture.title)}</title><desc id="{prefix}-d">{_escaped(picture.alt)}</desc>'
    head, _, rest = drawn.partition(">")
    return f"{head} {label}>{words}{rest}"


def picture_file(picture: Picture) -> str:
    """The picture as an SVG file of its own on light paper, with title and source inside the drawing."""
    paper = GROUND["paper"].light
    return svg({**titled(picture), "background": paper}, prefix=picture.id)


def live_drawing(spec: Mapping[str, Any]) -> dict[str, Any]:
    """What `drawing_script` draws in a page: `spec` for it, and `colours`, the CSS variable for each colour of the palette."""
    with _renderer() as renderer:
        vega = renderer.vegalite_to_vega(themed(spec), vl_version=VEGA_LITE)
    # The version it names is one less than that of the script; both read this part of the language alike.
    vega.pop("$schema", None)
    return {"spec": vega, "colours": {shade.light: f"var({name})" for name, shade in css_variables().items()}}


@cache
def drawing_script() -> str:
    """JavaScript that defines `wattwrightDraw(element, spec)`, which draws what `live_drawing` gives as SVG into an element.

    It interprets expressions instead of compiling them and adds no style, so that it runs under a policy that forbids both.
    """
    options = "{mode: 'vega', ast: true, renderer: 'svg', actions: false, tooltip: false, defaultStyle: false}"
    snippet = f"window.wattwrightDraw = (element, spec) => vegaEmbed(element, spec, {options});"
    with _renderer() as renderer:
        return str(renderer.javascript_bundle(snippet, vl_version=VEGA_LITE))


@contextmanager
def _renderer() -> Iterator[Any]:
    """The renderer, for one thread at a time.

    It has a lock of its own and keeps Python's while it waits for that: two threads could wait for each other for ever.
    """
    import vl_convert  # only the stage that draws pays for it

    with _ONE_AT_A_TIME:
        _register_fonts()
        yield vl_convert


@cache
def _register_fonts() -> None:
    import vl_convert

    vl_convert.register_font_directory(str(font_directory()))


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _renumbered(drawn: str, prefix: str) -> str:
    names = {old: f"{prefix}-{i}" for i, old in enumerate(dict.fromkeys(_ID.findall(drawn)))}
    return _REFERENCE.sub(lambda found: f"{found[1]}{names.get(found[2], found[2])}{found[3]}", drawn)


def _recoloured(value: Any, colours: Mapping[str, str]) -> Any:
    if isinstance(value, str):
        return colours.get(value.upper(), value)
    if isinstance(value, Mapping):
        return {key: _recoloured(part, colours) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_recoloured(part, colours) for part in value]
    return value
