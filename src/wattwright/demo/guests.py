"""The invented bookings of the year, drawn room by room."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wattwright.core.seeds import Streams
from wattwright.demo.place import GUEST_ROOMS
from wattwright.demo.year import DemoYear

OCCUPANCY_BY_MONTH = (0.10, 0.12, 0.25, 0.50, 0.60, 0.75, 0.88, 0.93, 0.75, 0.50, 0.18, 0.20)
"""Share of room nights sold, January to December."""
STAY_NIGHTS = (2, 3, 4, 5, 7)
STAY_WEIGHTS = (0.30, 0.28, 0.18, 0.12, 0.12)
PARTY_WEIGHTS = (0.18, 0.62, 0.20)
"""Share of bookings for one, two and three people."""


class Booking(NamedTuple):
    """One stay: the room (0 up), the local days of arrival and departure (0 up) and the number of people."""

    room: int
    arrive: int
    depart: int
    people: int


@dataclass(frozen=True, slots=True)
class DemoGuests:
    """The bookings and what follows from them."""

    bookings: tuple[Booking, ...]
    people: NDArray[np.int64]
    """People sleeping in each room in the night that begins on each local day, (rooms, days)."""

    @property
    def tonight(self) -> NDArray[np.int64]:
        """Return the guests who sleep here in the night that begins on each day, (days,)."""
        return np.asarray(self.people.sum(axis=0))

    @property
    def this_morning(self) -> NDArray[np.int64]:
        """Return the guests who wake here on each day, (days,); nobody on the first."""
        return np.concatenate(([0], self.tonight[:-1]))

    @property
    def departures(self) -> NDArray[np.int64]:
        """Return the number of rooms left on each day, (days,)."""
        leaving = [booking.depart for booking in self.bookings if booking.depart < self.people.shape[1]]
        return np.bincount(leaving, minlength=self.people.shape[1])


def demo_guests(seed: int, year: DemoYear) -> DemoGuests:
    """Return the invented bookings of the year."""
    bookings = tuple(booking for room in range(GUEST_ROOMS) for booking in _room_bookings(seed, room, year))
    people = np.zeros((GUEST_ROOMS, year.days), dtype=np.int64)
    for booking in bookings:
        people[booking.room, booking.arrive : booking.depart] = booking.people
    return DemoGuests(bookings, people)


def _room_bookings(seed: int, room: int, year: DemoYear) -> list[Booking]:
    generator = Streams(seed).stream(f"demo.guests.{room}")
    mean_stay = float(np.dot(STAY_NIGHTS, STAY_WEIGHTS))
    bookings: list[Booking] = []
    day = 0
    while day < year.days:
        sold = OCCUPANCY_BY_MONTH[year.month[day] - 1]
        # With this chance of a new stay on a free day, the long-run share of nights sold is `sold`.
        if generator.random() < sold / (sold + (1.0 - sold) * mean_stay):
            nights = int(generator.choice(STAY_NIGHTS, p=STAY_WEIGHTS))
            party = int(generator.choice((1, 2, 3), p=PARTY_WEIGHTS))
            bookings.append(Booking(room, day, day + nights, party))
            day += nights
        else:
            day += 1
    return bookings
