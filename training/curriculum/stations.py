"""The stations of a noodle house, in the order of work; modules refer to their short names."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StationName:
    """A station, and whether it is judged on measured batches."""

    slug: str
    name: str
    measured: bool


STATIONS = (
    StationName("mixing-and-treading", "mixing and treading", measured=True),
    StationName("rolling", "rolling", measured=True),
    StationName("cutting", "cutting", measured=True),
    StationName("boiling", "boiling", measured=False),
    StationName("stock", "stock", measured=False),
    StationName("serving", "serving", measured=False),
)
