"""The demo house's standards: invented, with amounts as they are common practice (no source)."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext_noop


@dataclass(frozen=True, slots=True)
class Recipe:
    """One version of a house standard.

    Attributes
    ----------
    in_force_days_ago : int or None
        None for a draft.
    numbers : dict
        Fields of ``StandardVersion``.
    flours : tuple of (name, kind, percent, allergens)
    seasons : tuple of (name, from_month, to_month, room_from_c, hydration_percent, salt_percent)
    rounds : tuple of (tread_min, rest_min)
    others : tuple of (name, percent, allergens)
    """

    style: str
    in_force_days_ago: int | None
    strands: int
    numbers: dict[str, str]
    flours: tuple[tuple[str, str, str, str], ...]
    seasons: tuple[tuple[str, int, int, str, str, str], ...]
    rounds: tuple[tuple[int, int], ...]
    others: tuple[tuple[str, str, str], ...] = ()
    change_note: str = ""

    @property
    def fields(self) -> dict[str, Decimal | str]:
        """Fields of the version, as numbers."""
        return {
            "change_note": self.change_note,
            **{name: Decimal(value) for name, value in self.numbers.items()},
        }


# Longer ago than the oldest batch, and before the first day of March 2026 at any rate.
OLDEST_DAYS = 600

THICK_WHEAT_FLOURS = (
    (gettext_noop("medium wheat flour"), "flour", "97.0", gettext_noop("wheat")),
    (gettext_noop("tapioca starch"), "starch", "3.0", ""),
)
# Stronger brine in a warm room, water and salt together near half of the flour.
THICK_WHEAT_SEASONS = (
    (gettext_noop("cold room"), 11, 3, "5.0", "45.0", "5.00"),
    (gettext_noop("mild room"), 4, 6, "18.0", "44.0", "5.50"),
    (gettext_noop("warm room"), 7, 10, "25.0", "43.0", "6.50"),
)
THICK_WHEAT_ROUNDS = ((5, 30), (5, 30), (4, 60))
FLAT_RIBBON_FLOURS = (
    (gettext_noop("medium wheat flour"), "flour", "92.0", gettext_noop("wheat")),
    (gettext_noop("potato starch"), "starch", "8.0", ""),
)
FLAT_RIBBON_SEASONS = (
    (gettext_noop("cold room"), 11, 3, "5.0", "43.0", "4.00"),
    (gettext_noop("mild room"), 4, 6, "18.0", "42.0", "4.50"),
    (gettext_noop("warm room"), 7, 10, "25.0", "41.0", "5.00"),
)

RECIPES = (
    Recipe(
        style="thick-wheat",
        in_force_days_ago=OLDEST_DAYS,
        strands=110,
        numbers={
            "width_target_mm": "3.20",
            "width_tolerance_minus_mm": "0.50",
            "width_tolerance_plus_mm": "0.50",
            "thickness_target_mm": "3.00",
            "thickness_tolerance_minus_mm": "0.40",
            "thickness_tolerance_plus_mm": "0.40",
            "hydration_tolerance_minus_pp": "1.00",
            "hydration_tolerance_plus_pp": "1.00",
            "portion_g": "200",
            "boil_time_min": "12.0",
        },
        flours=THICK_WHEAT_FLOURS,
        seasons=THICK_WHEAT_SEASONS,
        rounds=THICK_WHEAT_ROUNDS,
    ),
    Recipe(
        style="thick-wheat",
        in_force_days_ago=None,
        strands=110,
        numbers={
            "width_target_mm": "3.20",
            "width_tolerance_minus_mm": "0.40",
            "width_tolerance_plus_mm": "0.40",
            "thickness_target_mm": "3.00",
            "thickness_tolerance_minus_mm": "0.35",
            "thickness_tolerance_plus_mm": "0.35",
            "hydration_tolerance_minus_pp": "1.00",
            "hydration_tolerance_plus_pp": "1.00",
            "portion_g": "200",
            "boil_time_min": "12.0",
        },
        flours=THICK_WHEAT_FLOURS,
        seasons=THICK_WHEAT_SEASONS,
        rounds=THICK_WHEAT_ROUNDS,
        change_note=(
            "Closer limits for width and thickness, so that the bowl is done at one minute. "
            "Not decided yet: look first how many recent batches would have scored otherwise."
        ),
    ),
    Recipe(
        style="thin-buckwheat",
        in_force_days_ago=OLDEST_DAYS,
        strands=320,
        numbers={
            "width_target_mm": "1.40",
            "width_tolerance_minus_mm": "0.25",
            "width_tolerance_plus_mm": "0.25",
            "thickness_target_mm": "1.50",
            "thickness_tolerance_minus_mm": "0.25",
            "thickness_tolerance_plus_mm": "0.25",
            "hydration_tolerance_minus_pp": "1.00",
            "hydration_tolerance_plus_pp": "1.00",
            "portion_g": "140",
            "dough_temperature_c": "23.0",
            "boil_time_min": "1.2",
        },
        flours=(
            (gettext_noop("buckwheat flour"), "flour", "80.0", gettext_noop("buckwheat")),
            (gettext_noop("medium wheat flour"), "flour", "20.0", gettext_noop("wheat")),
        ),
        seasons=(
            (gettext_noop("cold room"), 11, 3, "5.0", "44.0", "0.00"),
            (gettext_noop("mild room"), 4, 6, "18.0", "45.0", "0.00"),
            (gettext_noop("warm room"), 7, 10, "25.0", "46.0", "0.00"),
        ),
        rounds=((8, 10),),
    ),
    Recipe(
        style="flat-ribbon",
        in_force_days_ago=OLDEST_DAYS,
        strands=64,
        numbers={
            "width_target_mm": "8.00",
            "width_tolerance_minus_mm": "0.80",
            "width_tolerance_plus_mm": "0.80",
            "thickness_target_mm": "1.60",
            "thickness_tolerance_minus_mm": "0.30",
            "thickness_tolerance_plus_mm": "0.30",
            "hydration_tolerance_minus_pp": "1.00",
            "hydration_tolerance_plus_pp": "1.00",
            "strands_to_measure": "16",
            "thickness_columns": "4",
            "portion_g": "180",
            "boil_time_min": "5.0",
        },
        flours=FLAT_RIBBON_FLOURS,
        seasons=FLAT_RIBBON_SEASONS,
        rounds=((5, 30), (5, 60)),
    ),
    Recipe(
        style="flat-ribbon",
        in_force_days_ago=80,
        strands=64,
        numbers={
            "width_target_mm": "8.00",
            "width_tolerance_minus_mm": "0.60",
            "width_tolerance_plus_mm": "0.60",
            "thickness_target_mm": "1.50",
            "thickness_tolerance_minus_mm": "0.25",
            "thickness_tolerance_plus_mm": "0.25",
            "hydration_tolerance_minus_pp": "1.00",
            "hydration_tolerance_plus_pp": "1.00",
            "strands_to_measure": "16",
            "thickness_columns": "4",
            "portion_g": "180",
            "boil_time_min": "4.5",
        },
        flours=FLAT_RIBBON_FLOURS,
        seasons=FLAT_RIBBON_SEASONS,
        rounds=((5, 30), (5, 60)),
        change_note="A thinner ribbon with closer limits: it folds softer in the bowl.",
    ),
    Recipe(
        style="thin-alkaline",
        in_force_days_ago=OLDEST_DAYS,
        strands=280,
        numbers={
            "width_target_mm": "1.60",
            "width_tolerance_minus_mm": "0.25",
            "width_tolerance_plus_mm": "0.25",
            "thickness_target_mm": "1.50",
            "thickness_tolerance_minus_mm": "0.25",
            "thickness_tolerance_plus_mm": "0.25",
            "hydration_tolerance_minus_pp": "0.80",
            "hydration_tolerance_plus_pp": "0.80",
            "portion_g": "150",
            "boil_time_min": "1.5",
        },
        flours=((gettext_noop("strong wheat flour"), "flour", "100.0", gettext_noop("wheat")),),
        seasons=(
            (gettext_noop("cold room"), 11, 3, "5.0", "38.0", "1.00"),
            (gettext_noop("mild room"), 4, 6, "18.0", "37.0", "1.00"),
            (gettext_noop("warm room"), 7, 10, "25.0", "36.0", "1.20"),
        ),
        rounds=((6, 30), (5, 60)),
        others=(
            (gettext_noop("alkali salts (carbonates of sodium and potassium)"), "1.20", ""),
            (gettext_noop("dried egg white"), "1.50", gettext_noop("egg")),
        ),
    ),
)
