"""How unsure an investment is: each quantity with a range, drawn from a stream of its own."""

from typing import Final, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from wattwright.core.fields import Share, Spec
from wattwright.core.seeds import Streams
from wattwright.supply.money.terms import Floats

Source = Literal["demand", "weather", "prices", "life", "cost"]
SOURCES: Final[tuple[Source, ...]] = ("demand", "weather", "prices", "life", "cost")


class Range(Spec):
    """A triangular range: lowest, likeliest and highest value."""

    low: Share = Field(gt=-1, lt=10, description="lowest")
    likely: Share = Field(gt=-1, lt=10, description="likeliest")
    high: Share = Field(gt=-1, lt=10, description="highest")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low <= self.likely <= self.high:
            raise ValueError("low, likely and high in rising order|Put them in order.")
        return self


class Spread(Spec):
    """What is unsure about an investment; what is left out is taken as known.

    Ranges of demand, weather, life and cost multiply what the investment states and so are above nought; usual ranges hold 1.
    """

    demand: Range | None = Field(None, description="saving in all years alike, as a share of what was stated: use may change")
    weather: Range | None = Field(None, description="saving of each year by itself, as a share of what was stated")
    prices: Range | None = Field(None, description="rise of energy prices a year beyond what was stated; usual: -2 to 2 %")
    life: Range | None = Field(None, description="life of each part by itself, as a share of what was stated")
    cost: Range | None = Field(None, description="price of all parts, as a share of what was stated")

    @model_validator(mode="after")
    def _above_nought(self) -> Self:
        for source in SOURCES:
            span = self.of(source)
            if source != "prices" and span is not None and span.low <= 0:
                raise ValueError(f"a range of {source} above nought|Write it as a share of what was stated, such as 90 %.")
        if not self.unsure:
            raise ValueError("at least one range|Say what is unsure.")
        return self

    def of(self, source: Source) -> Range | None:
        """Return the range of one source."""
        found: Range | None = getattr(self, source)
        return found

    @property
    def unsure(self) -> tuple[Source, ...]:
        """Return the sources that have a range."""
        return tuple(source for source in SOURCES if self.of(source) is not None)


def drawn(spread: Spread, source: Source, streams: Streams, block: int, shape: tuple[int, ...]) -> Floats:
    """Return draws of one source, of ``shape``; what they are hangs on seed, source and block alone."""
    span = spread.of(source)
    if span is None or span.low == span.high:
        known = (0.0 if source == "prices" else 1.0) if span is None else float(span.likely)
        return np.full(shape, known)
    chance = streams.stream(f"money.{source}.{block}")
    return chance.triangular(float(span.low), float(span.likely), float(span.high), shape)
