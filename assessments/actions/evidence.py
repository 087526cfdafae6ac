"""Keep the short form of a cook's evidence up to date after whatever changes it."""

from collections import defaultdict

from django.db import transaction
from django.db.models import Max

from assessments.calculations.requirements import DEFAULT_RULE, SignOffState, signoff_state
from assessments.models import Batch, Observation, Part, Practice
from assessments.models.evidence import evidence_batches, evidence_run, turning_points
from training.models import ModulePage, ModuleProgress, Role

WRITTEN_FIELDS = [
    "branch",
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
]


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
        .select_for_update(no_key=True)
        .order_by("pk")
    )
    if style is not None:
        practices = practices.filter(style=style)
    practices = list(practices)
    if not practices:
        return
    began_anew = turning_points(cook.pk)
    required, done, met = modules_by_station(), modules_done(cook), observations_met(cook)
    last_days = dict(
        Batch.objects.finished().filter(cook=cook).values_list("style").annotate(Max("made_on"))
    )
    branches = list(
        Role.objects.filter(person=cook, kind=Role.Kind.TRAINEE)
        .order_by("branch__name")
        .values_list("branch_id", flat=True)
    )
    states = {}
    for practice in practices:
        withdrawn_at, earned_at = began_anew[practice.pk]
        run = evidence_run(withdrawn_at, earned_at)
        key = (practice.style_id, run)
        if key not in states:
            states[key] = evidence_state(cook.pk, practice.style_id, after=run.after, rule=run.rule)
        write_state(practice, states[key])
        write_observations(practice, met[practice.pk], withdrawn_at)
        practice.modules_required = len(required[practice.station_id])
        practice.modules_done = len(done & required[practice.station_id])
        practice.last_batch_on = last_days.get(practice.style_id)
        if branches and practice.branch_id not in branches:
            practice.branch_id = branches[0]
    Practice.objects.bulk_update(practices, WRITTEN_FIELDS)


def write_state(practice, state):
    """Copy balances and what they say into the practice."""
    for part in Part.values:
        setattr(practice, f"{part}_balance", state.balances[part])
        setattr(practice, f"{part}_shown", state.shown[part])
    practice.evidence_complete = state.complete
    practice.more_like_last = state.more_like_last
    practice.limiting = state.limiting or ""
    practice.counted = state.counted


def write_observations(practice, met, withdrawn_at):
    """Count the observations that meet every safety and hygiene criterion."""
    days = [row.observed_on for row in met if row.counts_after(withdrawn_at)]
    practice.observations_met = len(days)
    practice.last_met_on = max(days, default=None)
