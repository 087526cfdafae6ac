"""Bring readings from a file into a cook's record."""

from dataclasses import dataclass
from datetime import date, datetime, time

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Prefetch, Q
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.actions.evidence import evidence_state, refresh_practices
from assessments.actions.import_reasons import file_reason, row_reason
from assessments.actions.log_batch import reading_set, season_for
from assessments.actions.rescore import find_in_batches, for_scoring, score_batches
from assessments.calculations.import_rows import (
    BatchRows,
    FileRefused,
    KnownStyle,
    Quantity,
    RowFault,
    StoredBatch,
    Version,
    check_rows,
    compare,
    group_batches,
    read_table,
)
from assessments.models import Batch, Event, Instrument, ReadingSet
from training.models import HousePolicy, Role, StandardVersion, Style, User
from training.names import listed

CHUNK = 500
QUANTITIES = {
    Quantity.WIDTH: ReadingSet.Quantity.WIDTH,
    Quantity.THICKNESS: ReadingSet.Quantity.THICKNESS,
    Quantity.FLOUR: ReadingSet.Quantity.FLOUR,
    Quantity.WATER: ReadingSet.Quantity.WATER,
    Quantity.SALT: ReadingSet.Quantity.SALT,
}
FILE_NAMES = {stored: named for named, stored in QUANTITIES.items()}


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A row that was not taken: its line in the file and why."""

    line: int
    reason: str


@dataclass(frozen=True, slots=True)
class ImportedBatch:
    """A batch of the file as it is scored now; shares 0..1, None where nothing was read."""

    pk: int
    name: str
    day: date
    style: str
    is_new: bool
    width_share: float | None
    width_points: float | None
    thickness_share: float | None
    thickness_points: float | None
    hydration_share: float | None
    hydration_points: float | None
    score: float | None

    @property
    def width_percent(self):
        return None if self.width_share is None else 100 * self.width_share

    @property
    def thickness_percent(self):
        return None if self.thickness_share is None else 100 * self.thickness_share


@dataclass(frozen=True, slots=True)
class StyleBalance:
    """Balances of evidence, 0..100, of the cook in a style of the file."""

    style: str
    width: float
    thickness: float
    hydration: float


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What became of a file: every row is kept, there already, refused or held back."""

    file_name: str
    cook: User
    rows_read: int
    kept: int
    already: int
    held_back: int
    refusals: tuple[RefusedRow, ...]
    notices: tuple[str, ...]
    batches: tuple[ImportedBatch, ...]
    balances: tuple[StyleBalance, ...]

    @property
    def refused(self):
        return len(self.refusals)


@dataclass(frozen=True, slots=True)
class House:
    """Styles and versions that rows are checked against, and the rows of the database behind."""

    styles: tuple[KnownStyle, ...]
    versions: dict[tuple[str, date | None], StandardVersion]


def import_readings(
    data, *, file_name, cook, branch, by, keep_good=False, today=None
) -> ImportReport:
    """Read a file of readings and add its batches to the record of ``cook``.

    ``data`` is the file's bytes. With ``keep_good`` the good rows are kept and the others
    reported; without it one refused row holds back all. A batch is known by its name: the same
    readings again add nothing, and no file changes what is stored. Raises ``ValidationError``
    when the file as a whole cannot be read.
    """
    today = today or timezone.localdate()
    house = load_house()
    try:
        checked = check_rows(read_table(data), house.styles, today)
    except FileRefused as refused:
        raise ValidationError({"file": file_reason(refused)}, code=refused.fault.value) from refused
    groups = group_batches(checked.readings)
    with transaction.atomic():
        # Two files for one cook at the same moment: the second waits and sees the first.
        User.objects.select_for_update(no_key=True).get(pk=cook.pk)
        compared = compare(groups, stored_batches(cook, [group.name for group in groups]))
        problems = sorted((*checked.problems, *compared.problems), key=lambda found: found.line)
        wanted = (*compared.new, *compared.added)
        rows_wanted = sum(len(group.lines) for group in wanted)
        keep = keep_good or not problems
        if keep and wanted:
            write_batches(compared.new, compared.added, house, cook, branch, by, file_name)
        new_names = {group.name for group in compared.new} if keep else set()
        batches = scored_batches(cook, [group.name for group in groups], new_names)
        return ImportReport(
            file_name=file_name,
            cook=cook,
            rows_read=checked.rows_read,
            kept=rows_wanted if keep else 0,
            already=compared.already,
            held_back=0 if keep else rows_wanted,
            refusals=tuple(RefusedRow(found.line, row_reason(found)) for found in problems),
            notices=notices(house, problems, groups if keep else ()),
            batches=batches,
            balances=balances(cook, batches),
        )


def home_branch(cook, by=None):
    """Return the branch where ``cook`` practises, one that ``by`` heads first; None without one."""
    homes = [role.branch for role in cook.held_roles if role.kind == Role.Kind.TRAINEE]
    headed = [] if by is None else by.headed_branch_ids
    return next((branch for branch in homes if branch.pk in headed), next(iter(homes), None))


def load_house() -> House:
    """Load every style with its published versions, their water by month, in three queries."""
    published = StandardVersion.objects.published().order_by("in_force_from")
    styles = Style.objects.prefetch_related(
        Prefetch("versions", published.prefetch_related("seasons"), to_attr="published")
    )
    known, versions = [], {}
    for style in styles:
        for version in style.published:
            versions[style.name, version.in_force_from] = version
        known.append(
            KnownStyle(style.name, tuple(check_version(version) for version in style.published))
        )
    return House(tuple(known), versions)


def check_version(version) -> Version:
    """Return what the rows are checked against."""
    return Version(
        in_force_from=version.in_force_from,
        width_mm=version.width_target_mm,
        thickness_mm=version.thickness_target_mm,
        water_percent={
            month: season.hydration_percent
            for season in version.seasons.all()
            for month in season.months
        },
    )


def in_chunks(items):
    """Yield lists of at most ``CHUNK`` items: databases limit the length of a list in a query."""
    items = list(items)
    for start in range(0, len(items), CHUNK):
        yield items[start : start + CHUNK]


def with_names(cook, names):
    """Return the cook's batches of these names, a few hundred at a time."""
    for some in in_chunks(names):
        yield Batch.objects.filter(cook=cook, reference__in=some)


def stored_batches(cook, names) -> dict[str, StoredBatch]:
    """Return the batches of these names that the cook has already."""
    current = Prefetch("reading_sets", ReadingSet.objects.current(), to_attr="current_sets")
    return {
        batch.reference: StoredBatch(
            day=batch.made_on,
            style=batch.style.name,
            readings={
                FILE_NAMES[row.quantity]: (tuple(row.places.tolist()), tuple(row.array.tolist()))
                for row in batch.current_sets
                if row.quantity in FILE_NAMES
            },
        )
        for batches in with_names(cook, names)
        for batch in batches.select_related("style").prefetch_related(current)
    }


def write_batches(new, added, house, cook, branch, by, file_name):
    """Store new batches and what stored ones lacked, score them, bring the evidence up to date."""
    batches = [new_batch(group, house, cook, branch, by) for group in new]
    Batch.objects.bulk_create(batches, batch_size=CHUNK)
    by_name = {batch.reference: batch for batch in batches}
    for some in with_names(cook, [group.name for group in added]):
        by_name |= {batch.reference: batch for batch in some}
    tools = instruments((*new, *added))
    groups: tuple[BatchRows, ...] = (*new, *added)
    sets = []
    for group in groups:
        batch = by_name[group.name]
        for rows in group.quantities:
            row = reading_set(
                batch,
                QUANTITIES[rows.quantity],
                rows.values,
                by=by,
                positions=rows.positions,
                instrument=tools[rows.instrument.lower()] if rows.instrument else None,
            )
            row.after_score = batch.score_seen_at is not None
            sets.append(row)
    ReadingSet.objects.bulk_create(sets, batch_size=CHUNK)
    policy = HousePolicy.load()
    for some in in_chunks([by_name[group.name].pk for group in groups]):
        batches = list(for_scoring(Batch.objects.filter(pk__in=some)))
        score_batches(batches, policy=policy)
        find_in_batches(batches)
    Event.objects.bulk_create(
        (
            Event(
                verb=Event.Verb.READINGS_IMPORTED,
                actor=by,
                subject=cook,
                object_type="batch",
                object_id=by_name[group.name].pk,
                data={"file": file_name, "n": len(group.lines)},
            )
            for group in groups
        ),
        batch_size=CHUNK,
    )
    for style in {batch.style_id for batch in by_name.values()}:
        refresh_practices(cook, style)


def new_batch(group, house, cook, branch, by) -> Batch:
    """Return an unsaved finished batch, made at noon of its day under that day's version."""
    style = next(style for style in house.styles if style.name == group.style)
    standard = house.versions[style.name, style.in_force(group.day).in_force_from]
    season = season_for(standard, month=group.day.month, room_c=None)
    # Only the day is known: noon keeps the days in order, the file keeps the order within one.
    made_at = timezone.make_aware(datetime.combine(group.day, time(12)))
    return Batch(
        cook=cook,
        branch=branch,
        style_id=standard.style_id,
        standard=standard,
        reference=group.name,
        state=Batch.State.FINISHED,
        made_on=group.day,
        opened_at=made_at,
        opened_by=by,
        finished_at=made_at,
        season_name=season.name,
        hydration_target_percent=round(season.hydration_percent, 2),
        salt_target_percent=round(season.salt_percent, 2),
        strands_chosen_here=False,
    )


def instruments(groups) -> dict[str, Instrument]:
    """Return the instruments that the rows name, by name in small letters; unknown ones are made.

    A new one has no known repeatability: the score takes it as nothing.
    """
    named = {
        rows.instrument.lower(): rows.instrument
        for group in groups
        for rows in group.quantities
        if rows.instrument
    }
    found: dict[str, Instrument] = {}
    for some in in_chunks(named.values()):
        known = Instrument.objects.annotate(lower=Lower("name")).filter(
            Q(name__in=some) | Q(lower__in=[name.lower() for name in some])
        )
        for tool in known:
            if tool.name.lower() not in found or tool.name in some:
                found[tool.name.lower()] = tool
    missing = [name for lower, name in named.items() if lower not in found]
    kinds = Instrument.Kind.values
    made = [
        Instrument(
            name=name,
            kind=name.lower() if name.lower() in kinds else Instrument.Kind.OTHER,
        )
        for name in missing
    ]
    Instrument.objects.bulk_create(made, batch_size=CHUNK)
    return found | {tool.name.lower(): tool for tool in made}


def scored_batches(cook, names, new_names) -> tuple[ImportedBatch, ...]:
    """Return the batches of the file that are stored now, in the order of their days."""
    rows = [
        ImportedBatch(
            pk=batch.pk,
            name=batch.reference,
            day=batch.made_on,
            style=batch.style.name,
            is_new=batch.reference in new_names,
            width_share=batch.score.width_share,
            width_points=batch.score.width_points,
            thickness_share=batch.score.thickness_share,
            thickness_points=batch.score.thickness_points,
            hydration_share=batch.score.hydration_share,
            hydration_points=batch.score.hydration_points,
            score=batch.score.score,
        )
        for batches in with_names(cook, names)
        for batch in batches.filter(score__isnull=False).select_related("style", "score")
    ]
    return tuple(sorted(rows, key=lambda row: (row.day, row.pk)))


def balances(cook, batches) -> tuple[StyleBalance, ...]:
    """Return the cook's balances in each style of the file, after all of the cook's batches."""
    styles = Style.objects.filter(name__in={batch.style for batch in batches})
    states = [(style.name, evidence_state(cook.pk, style.pk).balances) for style in styles]
    return tuple(
        StyleBalance(name, state["width"], state["thickness"], state["hydration"])
        for name, state in states
    )


def notices(house, problems, groups) -> tuple[str, ...]:
    """Say what concerns the file as a whole: styles it does not share with the house, its tools."""
    said = []
    unknown = sorted({p.details["text"] for p in problems if p.fault is RowFault.UNKNOWN_STYLE})
    if unknown:
        said.append(
            _(
                "The house has no style of this name: %(unknown)s. Its styles are: %(known)s. "
                "Write the style as the house does, or ask an editor to add it with a house "
                "standard, and read the file again."
            )
            % {
                "unknown": listed(unknown),
                "known": listed(style.name for style in house.styles) or _("none yet"),
            }
        )
    named = {rows.instrument for group in groups for rows in group.quantities}
    unmeasured = [
        tool.name
        for some in in_chunks(sorted(named - {""}))
        for tool in Instrument.objects.annotate(lower=Lower("name")).filter(
            lower__in=[name.lower() for name in some], repeatability_mm__isnull=True
        )
    ]
    if unmeasured or "" in named:
        said.append(
            _(
                "Nobody has measured how well these instruments repeat a reading, so the score "
                "takes it as nothing: %(tools)s."
            )
            % {"tools": listed(unmeasured + [_("instrument not named")] * ("" in named))}
        )
    return tuple(said)
