"""Make pages of the technique modules that come with the site."""

from django.db import transaction

from training.curriculum import MODULES
from training.curriculum.stations import STATIONS
from training.groups import create_index_page
from training.models import ModuleIndexPage, ModulePage, Station


@transaction.atomic
def load_curriculum(*, by=None):
    """Publish every module of the curriculum that has no page yet; return the new pages.

    A page that is there is left as it is: the house may have changed it. Stations are found by
    their short name and made where they are missing.
    """
    index = ModuleIndexPage.objects.get(pk=create_index_page().pk)
    there = set(ModulePage.objects.values_list("slug", flat=True))
    stations = load_stations()
    pages = []
    for module in MODULES:
        if module.slug in there:
            continue
        page = ModulePage(
            title=module.title,
            slug=module.slug,
            station=stations[module.station_slug],
            summary=module.summary,
            minutes_to_read=module.minutes_to_read,
            source_note=module.source_note,
            body=[(block.block_type, value_of(block)) for block in module.body],
        )
        index.add_child(instance=page)
        page.save_revision(user=by, log_action=True).publish(user=by)
        pages.append(page)
    return pages


def load_stations():
    """Make every station that is missing; return all of the curriculum by their short names."""
    return {
        station.slug: Station.objects.get_or_create(
            slug=station.slug,
            defaults={"name": station.name, "measured": station.measured, "position": position},
        )[0]
        for position, station in enumerate(STATIONS, start=1)
    }


def value_of(block):
    """Return a block of the curriculum as the page's stream holds it."""
    if block.block_type == "numbers":
        return {"names": list(block.names)}
    value = dict(vars(block))
    if "drawing" in value:
        value |= {"photo": None, "picture_alt": value.pop("drawing_alt")}
    if block.block_type == "timer":
        value["minutes"] = None
    if block.block_type == "question":
        value["answers"] = [dict(vars(answer)) for answer in block.answers]
    return value
