"""What is printed or looked at as a whole: a module for the wall, QR labels, all drawings."""

from collections import defaultdict
from dataclasses import dataclass

from django.contrib.auth.decorators import login_required
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from training.access import can_edit, can_make_labels, role_required
from training.blocks import drawings
from training.models import ModulePage, Station
from training.qr import Code, qr_code
from training.reading_pages import module_called
from training.summaries import Item, reading_of, shown_standard


@require_safe
@login_required
def wall(request, slug):
    """A module on one or two A4 pages, with the numbers of one style in force today."""
    page = module_called(slug)
    reading = reading_of(page, request.user, is_recorded=False)
    items = [item for screen in reading.screens for item in screen.items]
    context = {
        "page": page,
        "standard": shown_standard(request.user, request.GET.get("style", "")),
        "names": names_of(items),
        "steps": of_kind(items, "step"),
        "cautions": of_kind(items, "caution"),
        "faults": of_kind(items, "fault"),
        "code": qr_code(request.build_absolute_uri(page.address)),
        "today": timezone.localdate(),
    }
    return render(request, "training/wall.html", context)


def of_kind(items: list[Item], kind: str) -> list:
    """Return the values of all blocks of a kind."""
    return [item.block.value for item in items if item.block.block_type == kind]


def names_of(items: list[Item]) -> list[str]:
    """Return the numbers that a module shows in tables, each once."""
    tables = of_kind(items, "numbers")
    return list(dict.fromkeys(name for table in tables for name in table["names"]))


@dataclass(frozen=True, slots=True)
class Label:
    """A label that opens a module."""

    title: str
    address: str
    code: Code


@dataclass(frozen=True, slots=True)
class StationLabels:
    """The labels of a station."""

    name: str
    labels: tuple[Label, ...]


@require_safe
@role_required(can_make_labels)
def labels(request):
    """QR labels for the stations; each opens a module on the phone that reads it."""
    by_station = defaultdict(list)
    for page in ModulePage.objects.in_language():
        address = request.build_absolute_uri(page.address)
        by_station[page.station_id].append(Label(page.title, address, qr_code(address)))
    stations = [
        StationLabels(str(station), tuple(by_station[station.pk]))
        for station in Station.objects.all()
        if by_station[station.pk]
    ]
    return render(request, "training/labels.html", {"stations": stations})


@dataclass(frozen=True, slots=True)
class Sheet:
    """A drawing on the contact sheet: what it shows, and where it is used."""

    name: str
    alt: str
    modules: tuple[str, ...]


@require_safe
@role_required(can_edit)
def contact_sheet(request):
    """Show every drawing of the house, for those who choose one."""
    alts: dict[str, str] = {}
    used: dict[str, list[str]] = defaultdict(list)
    for page in ModulePage.objects.in_language():
        for raw in page.body.raw_data:
            name = raw["value"].get("drawing") if raw["type"] in ("step", "fault") else ""
            if name:
                alts.setdefault(name, raw["value"].get("picture_alt") or "")
                used[name].append(page.title)
    sheets = [
        Sheet(name, alts.get(name, ""), tuple(dict.fromkeys(used[name])))
        for name, _label in drawings()
    ]
    return render(request, "training/contact_sheet.html", {"sheets": sheets})
