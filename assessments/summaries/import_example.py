"""An example of a file of readings, made of the house's own standard."""

from assessments.calculations.import_rows import COLUMNS, Quantity
from training.models import StandardVersion

BATCH = "example-1"
FLOUR_G = 1000
# How far a reading lies from the target, in parts of the tolerance, over and over (invented).
OFFSETS = (0.0, 0.3, -0.2, 0.4, -0.4, 0.1, -0.1, 0.2, -0.3, 0.5)


def example_rows(today):
    """Return heading and rows of one batch of the first style with a standard in force today.

    In a house without a standard only the heading is left.
    """
    version = (
        StandardVersion.objects.in_force(today)
        .order_by("style__position", "style__name")
        .prefetch_related("seasons")
        .first()
    )
    rows = [COLUMNS]
    if version is None:
        return rows
    points = version.thickness_rows * version.thickness_columns
    for quantity, name, count in (
        (Quantity.WIDTH, "width", version.strands_to_measure),
        (Quantity.THICKNESS, "thickness", points),
    ):
        target = float(getattr(version, f"{name}_target_mm"))
        tolerance = float(getattr(version, f"{name}_tolerance_minus_mm"))
        rows += [
            line(version, today, quantity, place + 1, f"{target + offset * tolerance:.2f}")
            for place, offset in enumerate(cycle_of(OFFSETS, count))
        ]
    season = next(s for s in version.seasons.all() if today.month in s.months)
    for quantity, percent in (
        (Quantity.FLOUR, 100),
        (Quantity.WATER, season.hydration_percent),
        (Quantity.SALT, season.salt_percent),
    ):
        rows.append(line(version, today, quantity, 1, f"{FLOUR_G * percent / 100:.0f}"))
    return rows


def cycle_of(items, count):
    """Return ``count`` items, beginning again where they end."""
    return [items[place % len(items)] for place in range(count)]


def line(version, day, quantity, position, value):
    """Return one row of the example."""
    tool = "caliper" if quantity.is_length else "scale"
    return (
        BATCH,
        day.isoformat(),
        version.style.name,
        quantity.value,
        position,
        value,
        quantity.unit,
        tool,
    )
