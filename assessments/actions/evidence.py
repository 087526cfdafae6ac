"""Keep the short form of a cook's evidence up to date after whatever changes it."""

from collections import defaultdict
from dataclasses import dataclass

from django.db import transaction

from assessments.calculations.forecast import Forecast, Stuck, forecast, stuck
from assessments.calculations.requirements import DEFAULT_RULE, SignOffState, signoff_state
from assessments.models import Observation, Part, Practice
from assessments.models.evidence import (
    evenness_since,
    evidence_batches,
    evidence_run,
    judged_batches,
    part_histories,
    since,
    turning_points,
)
from training.models import ModulePage, ModuleProgress, Role

WRITTEN_FIELDS = [
    "branch_id",
    "counted",
    "evidence_complete",
    "more_like_last",
    "limiting",
    "last_batch_on",
    "modules_required",
    "modules_done",
    "observations_met",
    "last_met_on",
    *(f"{part}_balance" for part in Part.values),
    *(f"{part}_shown" for part in Part.values),
    "warning",
    "alarm_on",
    "stuck_part",
    "stuck_batches",
    *(f"forecast_{name}" for name in ("status", "low", "median", "high")),
]


@dataclass(frozen=True, slots=True)
class Outlook:
    """What the batches of one run say: where it stands, and how far it still is."""

    state: SignOffState
    forecast: Forecast
    stuck: Stuck | None


def evidence_state(cook_id, style_id, *, after=None, rule=DEFAULT_RULE) -> SignOffState:
    """Return the balances of a cook in a style."""
    batches = evidence_batches(cook_id, style_id, after=after)
    return signoff_state([batch for _pk, batch in batches], rule=rule)


def modules_by_station():
    """Return the ids of the modules that a sign-off demands, by station id."""
    required = defaultdict(set)
    rows = ModulePage.objects.demanded().values_list("station_id", "pk")
    for station_id, module_id in rows:
        required[station_id].add(module_id)
    return required


def modules_done(cook):
    """Return the ids of the modules that ``cook`` has read and whose questions are answered."""
    return set(
        ModuleProgress.objects.filter(
            person=cook, read_at__isnull=False, answered_at__isnull=False
        ).values_list("module_id", flat=True)
    )


def observations_met(cook):
    """Return the observations of ``cook`` that meet every safety point, by practice id."""
    met = defaultdict(list)
    for row in Observation.objects.filter(
        cook=cook, **dict.fromkeys(Observation.SAFETY_CRITERIA, Observation.Rating.MET)
    ):
        met[row.practice_id].append(row)
    return met


@transaction.atomic
def refresh_practices(cook, style=None):
    """Write the evidence of ``cook`` anew into their practices, all or of one style.

    The rows stay locked until the transaction ends, so that a batch and a decision that arrive
    at the same moment cannot write over one another. A cook who has moved takes the practices
    along to the new branch.
    """
    practices = (
        Practice.objects.filter(person=cook, ended_on__isnull=True)
        .select_related("station", "sign_off")
        .defer("sign_off__evidence")
        .select_for_update(no_key=True, of=("self",))
        .order_by("pk")
    )
    if style is not None:
        practices = practices.filter(style=style)
    practices = list(practices)
    if not practices:
        return
    began_anew = turning_points(cook.pk)
    required, done, met = modules_by_station(), modules_done(cook), observations_met(cook)
    judged = judged_batches(cook.pk, {practice.style_id for practice in practices})
    branches = list(
        Role.objects.filter(person=cook, kind=Role.Kind.TRAINEE)
        .order_by("branch__name")
        .values_list("branch_id", flat=True)
    )
    before = [_written(practice) for practice in practices]
    outlooks = {}
    for practice in practices:
        batches = judged[practice.style_id]
        withdrawn_at, earned_at = began_anew[practice.pk]
        run = evidence_run(withdrawn_at, earned_at)
        key = (practice.style_id, run)
        if key not in outlooks:
            outlooks[key] = outlook(since(batches, run.after), run.rule)
        write_state(practice, outlooks[key].state)
        write_outlook(practice, outlooks[key])
        write_evenness(practice, batches)
        write_observations(practice, met[practice.pk], withdrawn_at)
        practice.modules_required = len(required[practice.station_id])
        practice.modules_done = len(done & required[practice.station_id])
        practice.last_batch_on = max((batch.day for batch in batches if batch.counts), default=None)
        if branches and practice.branch_id not in branches:
            practice.branch_id = branches[0]
    _write_changed(practices, before)


def _written(practice):
    """Return what is written of a practice, by field."""
    return {field: getattr(practice, field) for field in WRITTEN_FIELDS}


def _write_changed(practices, before):
    """Write the fields that differ from ``before``: mostly few, and often none."""
    fields = {
        field
        for practice, old in zip(practices, before, strict=True)
        for field, value in _written(practice).items()
        if value != old[field]
    }
    if fields:
        Practice.objects.bulk_update(practices, sorted(fields))


def outlook(batches, rule):
    """Return the ``Outlook`` of a run; further batches are judged as the last one was."""
    state = signoff_state([batch.evidence for batch in batches], rule=rule)
    features, water = part_histories(batches, state.balances, state.shown)
    if batches:
        rule = batches[-1].of_standard(rule)
    return Outlook(state, forecast(features, water, rule=rule), stuck(features, water, rule=rule))


def write_state(practice, state):
    """Copy balances and what they say into the practice."""
    for part in Part.values:
        setattr(practice, f"{part}_balance", state.balances[part])
        setattr(practice, f"{part}_shown", state.shown[part])
    practice.evidence_complete = state.complete
    practice.more_like_last = state.more_like_last
    practice.limiting = state.limiting or ""
    practice.counted = state.counted


def write_outlook(practice, outlook):
    """Copy forecast and standing still into the practice; nothing where no batch is asked for."""
    measured = practice.station.measured
    told = outlook.forecast if measured else None
    practice.forecast_status = told.status if told else ""
    for name in ("low", "median", "high"):
        setattr(practice, f"forecast_{name}", getattr(told, name, None))
    flat = outlook.stuck if measured else None
    practice.stuck_part = flat.part if flat else ""
    practice.stuck_batches = flat.batches if flat else 0


def write_evenness(practice, batches):
    """Run the chart of evenness since the sign-off that holds, and keep the worse of its parts."""
    practice.warning, practice.alarm_on = 0.0, None
    if not (practice.holds and practice.station.measured):
        return
    later = [batch for batch in since(batches, practice.sign_off.decided_at) if batch.counts]
    charts = evenness_since(later).values()
    practice.warning = max(chart.warning for chart in charts)
    alarms = [later[chart.alarm_at].day for chart in charts if chart.alarm_at is not None]
    practice.alarm_on = min(alarms, default=None)


def write_observations(practice, met, withdrawn_at):
    """Count the observations that meet every safety and hygiene criterion."""
    days = [row.observed_on for row in met if row.counts_after(withdrawn_at)]
    practice.observations_met = len(days)
    practice.last_met_on = max(days, default=None)
