"""What speaks for and against a cook's sign-off, gathered for one page."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby
from operator import itemgetter

from django.db.models import (
    BooleanField,
    Count,
    ExpressionWrapper,
    FilteredRelation,
    OuterRef,
    Q,
    Subquery,
    Value,
    prefetch_related_objects,
)
from django.utils import timezone
from django.utils.formats import number_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from assessments.calculations.instruments import measurement_check
from assessments.calculations.standing import Missing, State
from assessments.models import (
    Batch,
    Drill,
    NotCounted,
    Observation,
    Part,
    Practice,
    ReadingSet,
    Review,
    SignOff,
)
from assessments.models.evidence import judged_batch, turning_points_of
from assessments.summaries.assessors import kept_from, unrated_by
from assessments.summaries.batch_photographs import photograph_columns, reasons_of
from assessments.summaries.currency import due_words
from assessments.summaries.drills import RECENT_DAYS
from assessments.summaries.habits import LOADED, Habits, habits_of
from assessments.summaries.history import HistoryPoint
from assessments.summaries.progress import Progress, progress_of
from assessments.summaries.sentence import PartBalance, evidence_sentence, part_balances
from training.access import can_assess
from training.again import prompts_of
from training.models import HousePolicy, ModulePage, StandardVersion, Style
from training.names import listed, told

LAST_BATCHES = 30
# The chart of evenness begins anew where it touches nought: these are enough for its last 30.
WATCHED_BATCHES = 60
LAST_OBSERVATIONS = 20
LAST_DECISIONS = 20
# Shown at once; the rest is folded up, so that a phone reaches what comes below.
OPEN_LINES = 4
READY_SHARE = 0.95


@dataclass(frozen=True, slots=True)
class MissedLine:
    """A check question that the cook missed; without a day once it is learned."""

    prompt: str
    times: int
    comes_back_on: date | None


@dataclass(frozen=True, slots=True)
class ModuleLine:
    """A module that a station demands, and how far the cook is with it."""

    title: str
    station_id: int
    station: str
    is_read: bool
    is_done: bool
    questions_missed: int
    missed: tuple[MissedLine, ...] = ()


@dataclass(frozen=True, slots=True)
class StationLine:
    """Where the cook stands at one station, in words."""

    practice_id: int
    station: str
    is_measured: bool
    state: State
    why: str
    sentence: str
    missing: tuple[str, ...]
    sign_off_id: int | None
    signed_on: date | None
    due_on: date | None
    is_override: bool

    @property
    def holds(self):
        """Whether there is a sign-off to withdraw."""
        return self.sign_off_id is not None

    @property
    def can_sign(self):
        """Whether a sign-off is possible now: not while another holds and is not due."""
        return self.state != State.SIGNED_OFF


@dataclass(frozen=True, slots=True)
class BalanceGroup:
    """Balances of evidence, and the stations for which they stand."""

    stations: tuple[str, ...]
    balances: tuple[PartBalance, ...]


@dataclass(frozen=True, slots=True)
class PartCell:
    """What one part of a batch showed: share 0..100, counts, points and remarks in words."""

    label: str
    share: float | None
    n: int
    n_in: int
    water_percent: float | None
    points: str
    remark: str


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One batch in the table of the last batches; ``review`` is what a head chef decided.

    One that ``is_blind`` shows nothing of what it scored until its reader has rated it.
    ``photograph`` is the id of the first photo that strands were measured on, None without one;
    ``left_out_reasons`` say why strands on its photos were left out.
    """

    pk: int
    day: date
    version: int
    is_abandoned: bool
    is_excused: bool
    score: float | None
    limiting: str
    parts: tuple[PartCell, ...]
    review: str
    reviewer: str
    note: str
    photograph: int | None
    left_out_reasons: tuple[str, ...]
    is_blind: bool = False


@dataclass(frozen=True, slots=True)
class Rated:
    """The criteria of an observation that were met in one and the same way."""

    rating: str
    criteria: str
    is_not_met: bool


@dataclass(frozen=True, slots=True)
class ObservationLine:
    """One observation with all its criteria."""

    day: date
    observer: str
    station: str
    rated: tuple[Rated, ...]
    safety_met: bool
    note: str


@dataclass(frozen=True, slots=True)
class DecisionLine:
    """A sign-off or a withdrawal."""

    sign_off_id: int
    at: datetime
    by: str
    station: str
    is_withdrawal: bool
    is_override: bool
    reason: str
    due_on: date | None


@dataclass(frozen=True, slots=True)
class EvidencePage:
    """All evidence of one cook in one style."""

    cook_id: int
    cook: str
    style: Style
    standard: StandardVersion | None
    is_own: bool
    habits: Habits
    progress: tuple[Progress, ...]
    drills: int
    stations: tuple[StationLine, ...]
    balances: tuple[BalanceGroup, ...]
    points: tuple[HistoryPoint, ...]
    ready_share: float
    batches: tuple[BatchLine, ...]
    observations: tuple[ObservationLine, ...]
    modules: tuple[ModuleLine, ...]
    decisions: tuple[DecisionLine, ...]
    observations_needed: int

    @property
    def is_tested_setting(self):
        """Whether the stated error rates hold for the standard in force."""
        return self.standard is None or self.standard.uses_tested_setting

    @property
    def newest_observations(self):
        return self.observations[:OPEN_LINES]

    @property
    def older_observations(self):
        return self.observations[OPEN_LINES:]

    @property
    def ready_of_100(self):
        return 100 * self.standard.ready_share

    @property
    def not_ready_of_100(self):
        return 100 * self.standard.not_ready_share


def evidence_page(cook, style_slug, *, viewer):
    """Return the ``EvidencePage`` of ``cook``; ``Style.DoesNotExist`` for an unknown style."""
    today = timezone.localdate()
    standard = StandardVersion.objects.in_force(today).filter(style__slug=style_slug).first()
    style = standard.style if standard else Style.objects.get(slug=style_slug)
    policy = HousePolicy.load()
    is_own = viewer.pk == cook.pk
    practices = list(
        Practice.objects.filter(person=cook, style=style, ended_on__isnull=True)
        .select_related("station", "sign_off")
        .defer("sign_off__evidence")
        .annotate(drills=_recent_drills(cook, style))
        .order_by("station__position", "station__name")
    )
    modules = module_lines(cook, [practice.station_id for practice in practices])
    lines = [
        station_line(
            with_modules(practice, modules), modules, today=today, policy=policy, is_own=is_own
        )
        for practice in practices
    ]
    limit = WATCHED_BATCHES if any(practice.holds for practice in practices) else LAST_BATCHES
    loaded = last_batches(cook, style, limit, viewer=viewer)
    batches = loaded[:LAST_BATCHES]
    open_to_read = [batch for batch in batches if not (batch.is_blind or is_excused(batch))]
    # A pattern told before the score is seen would let readings be corrected for points.
    told = [batch for batch in open_to_read if batch.score_seen_at or not is_own][:LOADED]
    prefetch_related_objects(told, "found")
    decisions = decisions_of(cook, style)
    return EvidencePage(
        cook_id=cook.pk,
        cook=str(cook),
        style=style,
        standard=standard,
        is_own=is_own,
        habits=habits_of(cook.pk, style, batches=told),
        progress=progress_of(
            practices,
            [
                judged_batch(batch)
                for batch in reversed(loaded)
                if not (batch.is_blind or is_excused(batch))
            ],
            began_anew(decisions),
            today=today,
            own=is_own,
            all_loaded=len(loaded) < limit,
        ),
        drills=max((practice.drills or 0 for practice in practices), default=0),
        stations=tuple(lines),
        balances=balance_groups(practices),
        points=tuple(history_point(batch) for batch in reversed(open_to_read)),
        ready_share=float(standard.ready_share) if standard else READY_SHARE,
        batches=tuple(batch_line(batch) for batch in batches),
        observations=observation_lines(cook, style, viewer),
        modules=modules,
        decisions=decision_lines(decisions),
        observations_needed=policy.observations_needed,
    )


def _recent_drills(cook, style):
    """Return, for a query on practices, how many drills of the style were done lately."""
    lately = timezone.now() - timedelta(days=RECENT_DAYS)
    drills = Drill.objects.filter(cook=cook, style=style, done_at__gte=lately).order_by()
    return Subquery(drills.values("cook").annotate(n=Count("pk")).values("n"))


def module_lines(cook, station_ids):
    """Return what ``cook`` has read and answered of the modules of these stations, in one query.

    A module comes once for each question missed.
    """
    rows = (
        ModulePage.objects.demanded()
        .filter(station__in=station_ids)
        .told("title", "body")
        .annotate(
            mine=FilteredRelation("progress", condition=Q(progress__person=cook.pk)),
            missed=FilteredRelation(
                "missed_questions", condition=Q(missed_questions__person=cook.pk)
            ),
        )
        .order_by("station__position", "path")
        .values_list(
            "pk",
            "told_title",
            "station_id",
            "station__name",
            "mine__read_at",
            "mine__answered_at",
            "mine__questions_missed",
            "missed__question_id",
            "missed__times_missed",
            "missed__due_on",
            "told_body",
        )
    )
    return tuple(_module_line(list(group)) for _pk, group in groupby(rows, key=itemgetter(0)))


def _module_line(rows):
    """Return the line of one module; ``rows`` differ in the question missed."""
    _pk, title, station_id, station, read_at, answered_at, missed, *_missed, body = rows[0]
    prompts = prompts_of(body)
    return ModuleLine(
        title=title,
        station_id=station_id,
        station=told(station),
        is_read=read_at is not None,
        is_done=read_at is not None and answered_at is not None,
        questions_missed=missed or 0,
        missed=tuple(
            MissedLine(prompts[str(question)], times, due_on)
            for *_module, question, times, due_on, _body in rows
            if str(question) in prompts
        ),
    )


def with_modules(practice, modules):
    """Return ``practice`` with its modules counted anew: one may have been published just now."""
    own = [module for module in modules if module.station_id == practice.station_id]
    practice.modules_required = len(own)
    practice.modules_done = sum(module.is_done for module in own)
    return practice


def station_line(practice, modules, *, today, policy, is_own):
    """Return where a practice stands; ``modules`` are those of the cook's stations."""
    standing = practice.standing(today=today, policy=policy)
    decision = practice.sign_off if practice.holds else None
    return StationLine(
        practice_id=practice.pk,
        station=str(practice.station),
        is_measured=practice.station.measured,
        state=standing.state,
        why=due_words(standing.due_for, policy),
        sentence=measured_sentence(practice, own=is_own) if practice.station.measured else "",
        missing=missing_in_words(
            standing, practice, modules, today=today, policy=policy, is_own=is_own
        ),
        sign_off_id=decision.pk if decision else None,
        signed_on=timezone.localdate(decision.decided_at) if decision else None,
        due_on=decision.due_on if decision else None,
        is_override=bool(decision and decision.is_override),
    )


def measured_sentence(practice, *, own):
    """Say how far the measured evidence has come, for a first sign-off or for its renewal."""
    if practice.withdrawn_at and not practice.counted:
        return _("No batch is counted since the withdrawal: the evidence starts anew.")
    if not practice.earned:
        return evidence_sentence(practice, own=own)
    if not practice.counted:
        return _(
            "No batch is counted since the sign-off. Its renewal needs new ones: at least two "
            "good batches."
        )
    return _("For the renewal: %(sentence)s") % {"sentence": evidence_sentence(practice, own=own)}


def missing_in_words(standing, practice, modules, *, today, policy, is_own):
    """Return one sentence for each thing that a sign-off still needs, with what to do."""
    undone = [
        module.title
        for module in modules
        if module.station_id == practice.station_id and not module.is_done
    ]
    words = {
        Missing.MEASURED: lambda: measured_sentence(practice, own=is_own),
        Missing.MODULES: lambda: (
            _("Modules to read and answer: %(titles)s.") % {"titles": listed(undone)}
        ),
        Missing.OBSERVATIONS: lambda: (
            ngettext(
                "%(met)d of %(count)d observation with hygiene and safety met. "
                "A head chef watches at the bench and writes it down.",
                "%(met)d of %(count)d observations with hygiene and safety met. "
                "A head chef watches at the bench and writes it down.",
                policy.observations_needed,
            )
            % {"met": practice.observations_met, "count": policy.observations_needed}
        ),
        Missing.RECENT_OBSERVATION: lambda: (
            ngettext(
                "The last observation with hygiene and safety met is %(ago)d days old. "
                "It must be from the last %(count)d day: watch once more.",
                "The last observation with hygiene and safety met is %(ago)d days old. "
                "It must be from the last %(count)d days: watch once more.",
                policy.observation_recent_days,
            )
            % {
                "ago": (today - practice.last_met_on).days,
                "count": policy.observation_recent_days,
            }
        ),
    }
    return tuple(words[code]() for code in standing.missing)


def balance_groups(practices):
    """Return the balances of the measured stations, those that are equal together."""
    groups = {}
    for practice in practices:
        if practice.station.measured:
            groups.setdefault(part_balances(practice), []).append(str(practice.station))
    return tuple(BalanceGroup(tuple(names), balances) for balances, names in groups.items())


def last_batches(cook, style, limit=LAST_BATCHES, *, viewer):
    """Return the last closed batches, newest first, with all that a ``BatchLine`` shows."""
    current = {
        part: ReadingSet.objects.current().filter(batch=OuterRef("pk"), quantity=part)
        for part in (Part.WIDTH, Part.THICKNESS)
    }
    tools = {
        f"{part}_graded_mm": Subquery(readings.graded().values("graded")[:1])
        for part, readings in current.items()
    }
    left_out = Subquery(current[Part.WIDTH].values("left_out")[:1])
    return list(
        Batch.objects.filter(cook=cook, style=style)
        .exclude(state=Batch.State.OPEN)
        .select_related("standard", "score", "review__reviewer", "patterns", "tried")
        .annotate(
            **tools,
            width_left_out=left_out,
            is_blind=_is_blind(viewer, cook),
            **photograph_columns(),
        )
        .newest_first()[:limit]
    )


def _is_blind(viewer, cook):
    """Return, for a query on batches, whether ``viewer`` is to rate before seeing the score."""
    if not can_assess(viewer, cook):
        return Value(value=False, output_field=BooleanField())
    return ExpressionWrapper(unrated_by(viewer), output_field=BooleanField())


def review_of(batch):
    """Return the look at ``batch``, or None."""
    return getattr(batch, "review", None)


def score_of(batch):
    """Return the score of ``batch``, or None where it was given up."""
    return getattr(batch, "score", None)


def is_excused(batch):
    """Whether giving up was excused, so that the batch is left out."""
    review = review_of(batch)
    return review is not None and review.decision == Review.Decision.EXCUSED


def batch_line(batch):
    """Return a batch of ``last_batches`` as a line of the table."""
    score, review = score_of(batch), review_of(batch)
    if batch.is_blind:
        score = None
    return BatchLine(
        pk=batch.pk,
        day=batch.made_on,
        version=batch.standard.number,
        is_abandoned=batch.state == Batch.State.ABANDONED,
        is_excused=is_excused(batch),
        score=score.score if score else None,
        limiting=score.get_limiting_display() if score else "",
        parts=part_cells(
            batch.standard,
            score,
            {Part.WIDTH: batch.width_graded_mm, Part.THICKNESS: batch.thickness_graded_mm},
            batch.width_left_out or 0,
        )
        if score
        else (),
        review=capfirst(review.get_decision_display()) if review else "",
        reviewer=str(review.reviewer) if review else "",
        note=review.note if review else "",
        photograph=batch.first_photograph,
        left_out_reasons=reasons_of(batch) if score and batch.width_left_out else (),
        is_blind=batch.is_blind,
    )


def part_cells(standard, score, graded_mm, left_out):
    """Return what each part of a scored batch showed.

    ``graded_mm`` is by part what its tool is graded by; ``left_out`` counts the strands that were
    measured and left out.
    """
    cells = []
    for part in Part:
        share = getattr(score, f"{part}_share")
        remarks = [remark(standard, score, part, graded_mm.get(part))]
        if part == Part.WIDTH:
            remarks.append(left_out_remark(left_out, left_out + score.width_n))
        cells.append(
            PartCell(
                label=str(part.label),
                share=None if share is None else 100 * share,
                n=getattr(score, f"{part}_n", 0),
                n_in=getattr(score, f"{part}_n_in", 0),
                water_percent=score.hydration_percent if part == Part.HYDRATION else None,
                points=signed(getattr(score, f"{part}_points")),
                remark=" · ".join(filter(None, remarks)),
            )
        )
    return tuple(cells)


def signed(points):
    """Return points with their sign, in the reader's notation; nothing for None."""
    if points is None:
        return ""
    sign = "+" if points > 0 else "−" if points < 0 else ""
    return sign + number_format(abs(points), decimal_pos=1)


def remark(standard, score, part, graded_mm):
    """Say why a part is not counted, or that its instrument was coarse."""
    reason = getattr(score, f"{part}_not_counted")
    if reason:
        return _("not counted: %(reason)s") % {"reason": NotCounted(reason).label}
    if graded_mm is None:
        return ""
    lo, hi = getattr(standard, f"{part}_limits_mm")
    if measurement_check(graded_mm, (hi - lo) / 2).grade == "coarse":
        return _("instrument coarse for this tolerance")
    return ""


def left_out_remark(left_out, measured):
    """Say how many of the strands measured were left out; nothing for none."""
    if not left_out:
        return ""
    return _("%(left_out)d of %(measured)d strands left out") % {
        "left_out": left_out,
        "measured": measured,
    }


def history_point(batch):
    """Return a batch of ``last_batches`` as the charts take it."""
    score = score_of(batch)
    return HistoryPoint(
        batch_id=batch.pk,
        day=batch.made_on,
        abandoned=batch.state == Batch.State.ABANDONED,
        score=score.score if score else None,
        limiting=score.limiting if score else "",
        shares={part.value: getattr(score, f"{part}_share", None) for part in Part},
        intervals={
            part.value: (getattr(score, f"{part}_low"), getattr(score, f"{part}_high"))
            for part in (Part.WIDTH, Part.THICKNESS)
            if score and getattr(score, f"{part}_low") is not None
        },
    )


def observation_lines(cook, style, viewer):
    """Return the last observations of a cook in a style that ``viewer`` may read, newest first."""
    rows = (
        Observation.objects.filter(cook=cook, practice__style=style)
        .exclude(kept_from(viewer))
        .select_related("observer", "practice__station")
        .order_by("-observed_on", "-pk")[:LAST_OBSERVATIONS]
    )
    return tuple(observation_line(row) for row in rows)


def rated(ratings):
    """Return which criteria were met how, best first, from ratings (None: not seen) by name."""
    words = {
        rating: [
            str(Observation._meta.get_field(name).verbose_name)
            for name, given in ratings.items()
            if given == rating
        ]
        for rating in (*reversed(Observation.Rating.values), None)
    }
    return tuple(
        Rated(
            rating=_("not seen") if rating is None else str(Observation.Rating(rating).label),
            criteria=listed(names),
            is_not_met=rating == Observation.Rating.NOT_MET,
        )
        for rating, names in words.items()
        if names
    )


def observation_line(observation):
    """Return an observation with its criteria in words."""
    return ObservationLine(
        day=observation.observed_on,
        observer=str(observation.observer),
        station=str(observation.practice.station),
        rated=rated({name: getattr(observation, name) for name in Observation.CRITERIA}),
        safety_met=observation.safety_met,
        note=observation.note,
    )


def decisions_of(cook, style):
    """Return all sign-offs of a cook in a style, newest first, with their withdrawals."""
    return list(
        SignOff.objects.filter(cook=cook, style=style)
        .select_related("station", "decided_by", "withdrawal__withdrawn_by")
        .defer("evidence")
        .order_by("-decided_at")
    )


def began_anew(decisions):
    """Return ``turning_points`` of the practices of these decisions, without a query."""
    return turning_points_of(
        (
            row.practice_id,
            row.decided_at,
            row.missing,
            row.withdrawal.withdrawn_at if hasattr(row, "withdrawal") else None,
        )
        for row in reversed(decisions)
    )


def decision_lines(decisions):
    """Return the last sign-offs and withdrawals, newest first."""
    lines = []
    for row in decisions[:LAST_DECISIONS]:
        lines.append(
            DecisionLine(
                sign_off_id=row.pk,
                at=row.decided_at,
                by=str(row.decided_by),
                station=str(row.station),
                is_withdrawal=False,
                is_override=row.is_override,
                reason=row.override_reason,
                due_on=row.due_on,
            )
        )
        withdrawal = getattr(row, "withdrawal", None)
        if withdrawal is not None:
            lines.append(
                DecisionLine(
                    sign_off_id=row.pk,
                    at=withdrawal.withdrawn_at,
                    by=str(withdrawal.withdrawn_by),
                    station=str(row.station),
                    is_withdrawal=True,
                    is_override=row.is_override,
                    reason=withdrawal.reason,
                    due_on=None,
                )
            )
    return tuple(sorted(lines, key=lambda line: line.at, reverse=True))
