"""The numbers of a house standard as a cook reads them in a module."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.dates import MONTHS
from django.utils.formats import number_format
from django.utils.functional import Promise
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from training import food_safety
from training.names import told

LABELS: dict[str, Promise] = {
    "hydration": gettext_lazy("Water"),
    "salt": gettext_lazy("Salt"),
    "brine": gettext_lazy("Brine"),
    "flour_blend": gettext_lazy("Flours and starches"),
    "dough_temperature": gettext_lazy("Dough temperature"),
    "treading_rounds": gettext_lazy("Treading or kneading"),
    "rests": gettext_lazy("Rests"),
    "thickness": gettext_lazy("Sheet thickness"),
    "width": gettext_lazy("Strand width"),
    "strands_to_measure": gettext_lazy("Strands to measure"),
    "thickness_points": gettext_lazy("Thickness points on the sheet"),
    "portion": gettext_lazy("Dough for one portion"),
    "boil_time": gettext_lazy("Boil time"),
}
KEYS = (*LABELS, *food_safety.LABELS)
PLACEHOLDER = re.compile(r"\{\{\s*([^{}]*?)\s*\}\}")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a number, for example one season; ``is_today`` marks today's."""

    label: str
    value: str
    is_today: bool = False


@dataclass(frozen=True, slots=True)
class Number:
    """A number of the standard: ``text`` stands in a sentence, ``rows`` in a table."""

    key: str
    label: str
    text: str
    rows: tuple[Row, ...]


def unknown_keys(text: str) -> list[str]:
    """Return the placeholders of ``text`` that name no number of the standard or of food safety."""
    return [key for key in PLACEHOLDER.findall(text) if key not in KEYS]


def fill(text: str, numbers: Mapping[str, Number]) -> SafeString:
    """Return ``text`` as HTML with each placeholder replaced by its number."""

    def value(match):
        number = numbers.get(match[1])
        shown = number.text if number else _("see the bench sheet")
        return format_html('<strong class="number">{}</strong>', shown)

    # Braces are left alone by escaping, so that placeholders survive it.
    return mark_safe(PLACEHOLDER.sub(value, str(conditional_escape(text))))  # noqa: S308


def safety_numbers(region: str) -> dict[str, Number]:
    """Return the food-safety figures of a region by their keys."""
    return {
        key: Number(key, str(food_safety.LABELS[key]), str(figure.text), ())
        for key, figure in food_safety.FIGURES[region].items()
    }


def numbers_of(version, *, month) -> dict[str, Number]:
    """Return every number of a version by its key; seasons begin with that of ``month``."""
    found = {**_recipe(version, month), **_work(version), **_sizes(version)}
    return {key: Number(key, str(LABELS[key]), *found[key]) for key in LABELS}


def _recipe(version, month):
    flours = [
        Row(told(flour.name), _("%(percent)s %%") % {"percent": plain(flour.percent)})
        for flour in version.flours.all()
    ]
    blend = _(", ").join(
        _("%(percent)s %(flour)s") % {"percent": row.value, "flour": row.label} for row in flours
    )
    # Sorting is stable: the season of the month comes first, the others keep their order.
    seasons = sorted(version.seasons.all(), key=lambda season: month not in season.months)
    return {
        "flour_blend": (blend, tuple(flours)),
        "hydration": _by_season(seasons, month, _water),
        "salt": _by_season(seasons, month, _salt),
        "brine": _by_season(seasons, month, _brine),
    }


def _by_season(seasons, month, value):
    rows = tuple(
        Row(season_name(season), value(season), month in season.months and len(seasons) > 1)
        for season in seasons
    )
    return (rows[0].value if rows else "", rows)


def season_name(season):
    """Return a season with its months and, where it has one, its room temperature."""
    parts = {
        "season": told(season.name),
        "first": MONTHS[season.from_month],
        "last": MONTHS[season.to_month],
    }
    if season.room_from_c is None:
        return _("%(season)s (%(first)s to %(last)s)") % parts
    parts["temperature"] = plain(season.room_from_c)
    return _("%(season)s (%(first)s to %(last)s, or a room from %(temperature)s °C)") % parts


def _water(season):
    return _("%(percent)s %% of the flour") % {"percent": plain(season.hydration_percent)}


def _salt(season):
    if not season.salt_percent:
        return _("no salt")
    return _("%(percent)s %% of the flour") % {"percent": plain(season.salt_percent)}


def _brine(season):
    """Return salt to water and salt to brine: two percentages that are often mixed up."""
    if not season.salt_percent:
        return _("no salt")
    salt, water = season.salt_percent, season.hydration_percent
    return _("%(grams)s g salt to 1000 g water, that is %(percent)s %% salt in the brine") % {
        "grams": plain(1000 * salt / water, places=0),
        "percent": plain(100 * salt / (salt + water), places=1),
    }


def _work(version):
    rounds = list(version.rounds.all())
    treads = [one.tread_min for one in rounds if one.tread_min]
    rests = [one.rest_min for one in rounds if one.rest_min]
    rows = [
        Row(_("Round %(number)s") % {"number": number}, minutes(one.tread_min))
        for number, one in enumerate(rounds, start=1)
        if one.tread_min
    ]
    rest_rows = [
        Row(_("Rest %(number)s") % {"number": number}, minutes(length))
        for number, length in enumerate(rests, start=1)
    ]
    temperature = _("%(degrees)s °C") % {"degrees": plain(version.dough_temperature_c)}
    return {
        "treading_rounds": (_rounds(treads), tuple(rows)),
        "rests": (_in_turn(rests), tuple(rest_rows)),
        "dough_temperature": (temperature, (Row("", temperature),)),
        "boil_time": (
            minutes(version.boil_time_min),
            (Row("", minutes(version.boil_time_min)),),
        ),
    }


def _rounds(lengths):
    count = ngettext("%(n)s round", "%(n)s rounds", len(lengths)) % {"n": len(lengths)}
    if not lengths:
        return _("no treading")
    if len(set(lengths)) == 1:
        return _("%(rounds)s of %(minutes)s") % {"rounds": count, "minutes": minutes(lengths[0])}
    return _("%(rounds)s: %(minutes)s") % {"rounds": count, "minutes": _in_turn(lengths)}


def _in_turn(lengths):
    if not lengths:
        return _("no rest")
    if len(set(lengths)) == 1:
        return minutes(lengths[0])
    return _(", then ").join(minutes(length) for length in lengths)


def _sizes(version):
    strands = ngettext("%(n)s strand", "%(n)s strands", version.strands_to_measure) % {
        "n": version.strands_to_measure
    }
    points = ngettext(
        "%(n)s point (%(along)s along, %(across)s across)",
        "%(n)s points (%(along)s along, %(across)s across)",
        version.thickness_points,
    ) % {
        "n": version.thickness_points,
        "along": version.thickness_rows,
        "across": version.thickness_columns,
    }
    portion = _("%(grams)s g") % {"grams": plain(version.portion_g)}
    return {
        "thickness": _length(version.thickness_target_mm, version.thickness_limits_mm),
        "width": _length(version.width_target_mm, version.width_limits_mm),
        "strands_to_measure": (strands, (Row("", strands),)),
        "thickness_points": (points, (Row("", points),)),
        "portion": (portion, (Row("", portion),)),
    }


def _length(target_mm, limits_mm):
    low, high = (plain(Decimal(str(round(limit, 3)))) for limit in limits_mm)
    target = _("%(length)s mm") % {"length": plain(target_mm)}
    span = _("%(low)s to %(high)s mm") % {"low": low, "high": high}
    text = _("%(target)s (%(span)s)") % {"target": target, "span": span}
    return text, (Row(_("Target"), target), Row(_("Within tolerance"), span))


def minutes(length):
    """Return a length of time, min, in words."""
    shown = plain(length)
    return ngettext("%(n)s minute", "%(n)s minutes", 1 if length == 1 else 2) % {"n": shown}


def plain(value, places=None):
    """Return a decimal in the reader's notation, without zeros that say nothing."""
    number = Decimal(value)
    if places is not None:
        number = round(number, places)
    text = f"{number:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return number_format(text)
