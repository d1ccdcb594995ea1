"""What the picture makers share keeps pictures cheap: altair copies everything that is set into something."""

import altair as alt

from wattwright.charts import parts

ROWS = [{"x": 1.0, "p": 2.0}, {"x": 2.0, "p": 3.0}]


def layer() -> alt.Chart:
    """A line over two points, upright on an axis."""
    return alt.Chart(parts.data(ROWS)).mark_line(strokeWidth=2).encode(x="x:Q", y=alt.Y("p:Q", axis=alt.Axis(grid=False)))


def test_rows_are_the_same_in_every_copy() -> None:
    """However deep a chart is copied, its rows are not; altair's own data are copied with it."""
    ours = parts.data(ROWS)
    assert alt.Chart(ours).copy().data is ours
    theirs = alt.InlineData(values=ROWS)
    assert alt.Chart(theirs).copy().data is not theirs


def test_a_layer_holds_only_what_was_said() -> None:
    """Mark and axes of a layer are the few settings made, the same that altair writes of the chart alone; the chart stays."""
    given = layer()
    alone = given.to_dict()
    chart = parts.layered([given], 100, 50)
    assert chart.layer[0].mark == {"type": "line", "strokeWidth": 2}
    assert chart.layer[0].encoding.y == {"axis": {"grid": False}, "field": "p", "type": "quantitative"}
    written = chart.to_dict()["layer"][0]
    assert (written["mark"], written["encoding"]) == (alone["mark"], alone["encoding"])
    assert given.to_dict() == alone
