"""Food-safety numbers by region: what a module may say of heat, cold, time and hands.

They differ by country, so a module never types one: it carries ``{{key}}`` with a key of `LABELS`,
and the page fills in the figure of the region that the house has chosen (`HousePolicy`). Each
figure names the law, code or guide that it is from; the local authority decides in any case.

A figure reads on in a sentence, best after a colon: "Keep the stock hot: {{safe_hot_holding}}."
The text ends its own sentence; a figure has no full stop.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from django.db.models import TextChoices
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


class Region(TextChoices):
    """Whose figures a house goes by."""

    US = "us", _("United States")
    UK_EU = "uk_eu", _("United Kingdom and European Union")
    JAPAN = "japan", _("Japan")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a region: how it reads, and where it stands.

    ``is_recalled`` marks a figure that was written down from memory, not from its text.
    """

    text: Promise
    source: str | Promise
    is_recalled: bool = False


LABELS: Mapping[str, Promise] = MappingProxyType(
    {
        "safe_cold_holding": _("Keeping cold"),
        "safe_hot_holding": _("Keeping hot"),
        "safe_cooling_steps": _("Cooling hot food"),
        "safe_cook": _("Cooking through"),
        "safe_reheat": _("Heating again"),
        "safe_room_time": _("Out of the cold or the heat"),
        "safe_keep_days": _("Keeping in the cold"),
        "safe_egg": _("Egg"),
        "safe_handwash": _("Washing hands"),
        "safe_ill_away": _("Away after vomiting or diarrhoea"),
        "safe_burn_cooling": _("Cooling a burn or scald"),
    }
)

MHLW_MANUAL = _("Japan, health ministry (MHLW): hygiene manual for large-scale cooking facilities")


def _us(section: str) -> str:
    return f"US Food Code 2022, {section}"


_UNITED_STATES = {
    "safe_cold_holding": Figure(_("5 °C (41 °F) or colder"), _us("3-501.16")),
    "safe_hot_holding": Figure(_("57 °C (135 °F) or hotter"), _us("3-501.16")),
    "safe_cooling_steps": Figure(
        _(
            "from 57 to 21 °C (135 to 70 °F) within 2 hours, and down to 5 °C (41 °F) within "
            "6 hours in all"
        ),
        _us("3-501.14"),
    ),
    "safe_cook": Figure(
        _("63 °C (145 °F) for 15 seconds for fish and eggs to order, 74 °C (165 °F) for poultry"),
        _us("3-401.11"),
        is_recalled=True,
    ),
    "safe_reheat": Figure(
        _("74 °C (165 °F) all through for 15 seconds, reached within 2 hours"), _us("3-403.11")
    ),
    "safe_room_time": Figure(_("4 hours at most, with a written plan"), _us("3-501.19")),
    "safe_keep_days": Figure(
        _("7 days at most at 5 °C (41 °F), counted from the day it is made"), _us("3-501.17")
    ),
    "safe_egg": Figure(
        _("63 °C (145 °F) for 15 seconds when made to order, 68 °C (155 °F) for 17 seconds else"),
        _us("3-401.11"),
        is_recalled=True,
    ),
    "safe_handwash": Figure(_("20 seconds or more in all, with soap"), _us("2-301.12")),
    "safe_ill_away": Figure(
        _("until 24 hours after it has stopped, longer where a doctor or the authority says so"),
        _us("2-201.13"),
        is_recalled=True,
    ),
}
_UNITED_KINGDOM_AND_EU = {
    "safe_cold_holding": Figure(
        _("8 °C or colder by law, 5 °C or colder as advised"),
        _(
            "Food Safety and Hygiene (England) Regulations 2013, Schedule 4, and advice of the "
            "Food Standards Agency. In the EU the national law gives the temperature."
        ),
    ),
    "safe_hot_holding": Figure(
        _("63 °C or hotter"),
        _(
            "Food Safety and Hygiene (England) Regulations 2013, Schedule 4. In the EU the "
            "national law gives the temperature."
        ),
    ),
    "safe_cooling_steps": Figure(
        _("as quickly as you can, into the cold within 90 minutes"),
        _(
            "Regulation (EC) 852/2004, Annex II, chapter IX: as quickly as possible. "
            "The 90 minutes are guidance, not law."
        ),
    ),
    "safe_cook": Figure(
        _("70 °C in the middle for 2 minutes, or 75 °C for 30 seconds"),
        _("Advice of the Food Standards Agency"),
        is_recalled=True,
    ),
    "safe_reheat": Figure(
        _("steaming hot all through: 75 °C, in Scotland 82 °C; once only"),
        _("Advice of the Food Standards Agency; in Scotland law"),
        is_recalled=True,
    ),
    "safe_room_time": Figure(
        _("cold food once for up to 4 hours, hot food once for up to 2 hours"),
        _("Food Safety and Hygiene (England) Regulations 2013, Schedule 4"),
        is_recalled=True,
    ),
    "safe_keep_days": Figure(
        _("as long as your food-safety plan says, and no longer"),
        _("Regulation (EC) 852/2004, Article 5: a plan based on hazards"),
    ),
    "safe_egg": Figure(
        _("white and yolk set hard, unless the eggs are of a scheme that vouches for them"),
        _("Advice of the Food Standards Agency"),
        is_recalled=True,
    ),
    "safe_handwash": Figure(
        _("20 seconds or more, with soap"),
        _("Advice of the National Health Service"),
        is_recalled=True,
    ),
    "safe_ill_away": Figure(
        _("until 48 hours after it has stopped"),
        _("Food Standards Agency, guide to the fitness to work of food handlers"),
        is_recalled=True,
    ),
}
_JAPAN = {
    "safe_cold_holding": Figure(_("10 °C or colder"), MHLW_MANUAL),
    "safe_hot_holding": Figure(_("65 °C or hotter"), MHLW_MANUAL),
    "safe_cooling_steps": Figure(
        _("to about 20 °C within 30 minutes, or to about 10 °C within 60 minutes"), MHLW_MANUAL
    ),
    "safe_cook": Figure(
        _(
            "75 °C in the middle for 1 minute or more; 85 to 90 °C for 90 seconds or more against "
            "norovirus"
        ),
        MHLW_MANUAL,
    ),
    "safe_reheat": Figure(_("75 °C in the middle for 1 minute or more"), MHLW_MANUAL),
    "safe_room_time": Figure(
        _("eaten within 2 hours after cooking"), MHLW_MANUAL, is_recalled=True
    ),
    "safe_keep_days": Figure(
        _("as long as your hygiene plan says, and no longer"),
        _("Japan, Food Sanitation Act: a hygiene plan based on HACCP"),
    ),
    "safe_egg": Figure(
        _("70 °C in the middle for 1 minute or more; raw only in date, kept cold, whole-shelled"),
        _("Japan, Food Sanitation Act: standards for eggs in shell"),
        is_recalled=True,
    ),
    "safe_handwash": Figure(
        _("about 30 seconds with soap, hands and arms"), MHLW_MANUAL, is_recalled=True
    ),
    "safe_ill_away": Figure(
        _("until a doctor or the person in charge says that you may work with food"),
        MHLW_MANUAL,
        is_recalled=True,
    ),
}
# First aid is no matter of food law and is much the same everywhere.
_BURN = Figure(
    _("20 minutes under cool running water, no ice, no cream"),
    _(
        "First aid as burn charities and the National Health Service teach it; others say 10 to "
        "30 minutes"
    ),
)
FIGURES: Mapping[str, Mapping[str, Figure]] = MappingProxyType(
    {
        Region.US.value: MappingProxyType({**_UNITED_STATES, "safe_burn_cooling": _BURN}),
        Region.UK_EU.value: MappingProxyType(
            {**_UNITED_KINGDOM_AND_EU, "safe_burn_cooling": _BURN}
        ),
        Region.JAPAN.value: MappingProxyType({**_JAPAN, "safe_burn_cooling": _BURN}),
    }
)
