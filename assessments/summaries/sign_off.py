"""What a head chef reads before signing, and a sign-off as it was given."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F
from django.utils import timezone
from django.utils.translation import get_language, gettext_lazy
from django.utils.translation import gettext as _

from assessments.calculations.freezing import fingerprint
from assessments.calculations.standing import Missing, State
from assessments.models import Event, NotCounted, Observation, Part, Practice, SignOff
from assessments.summaries.assessors import kept_from
from assessments.summaries.currency import due_words
from assessments.summaries.evidence import (
    BatchLine,
    ModuleLine,
    ObservationLine,
    Rated,
    batch_line,
    last_batches,
    measured_sentence,
    missing_in_words,
    module_lines,
    observation_line,
    rated,
    signed,
    with_modules,
)
from assessments.summaries.sentence import PartBalance, part_balances
from training.models import HousePolicy, ModulePage, StandardVersion


@dataclass(frozen=True, slots=True)
class SignPage:
    """What a head chef reads before signing."""

    practice: Practice
    state: State
    why: str
    standard: StandardVersion | None
    sentence: str
    balances: tuple[PartBalance, ...]
    missing: tuple[str, ...]
    missing_codes: tuple[str, ...]
    last_observation: ObservationLine | None
    modules: tuple[ModuleLine, ...]
    last_batches: tuple[BatchLine, ...]
    valid_until: date
    observations_needed: int

    @property
    def is_signed_off(self):
        """Whether another sign-off holds and is not due."""
        return self.state == State.SIGNED_OFF

    @property
    def safety_warning(self):
        """The last observation, where it did not meet every safety and hygiene criterion."""
        seen = self.last_observation
        return seen if seen is not None and not seen.safety_met else None


def sign_page(practice, *, viewer):
    """Return what ``viewer`` reads of a practice with its person, style and station loaded."""
    today = timezone.localdate()
    policy = HousePolicy.load()
    modules = module_lines(practice.person, [practice.station_id])
    standing = with_modules(practice, modules).standing(today=today, policy=policy)
    observation = (
        practice.observations.exclude(kept_from(viewer))
        .select_related("observer", "practice__station")
        .order_by("-observed_on", "-pk")
        .first()
    )
    measured = practice.station.measured
    batches = last_batches(practice.person, practice.style, 5, viewer=viewer) if measured else ()
    return SignPage(
        practice=practice,
        state=standing.state,
        why=due_words(standing.due_for, policy),
        standard=StandardVersion.objects.in_force(today).filter(style=practice.style_id).first(),
        sentence=measured_sentence(practice, own=False) if measured else "",
        balances=part_balances(practice) if measured else (),
        missing=missing_in_words(
            standing, practice, modules, today=today, policy=policy, is_own=False
        ),
        missing_codes=tuple(str(code) for code in standing.missing),
        last_observation=observation_line(observation) if observation else None,
        modules=modules,
        last_batches=tuple(batch_line(batch) for batch in batches),
        valid_until=today + timedelta(days=policy.renewal_days),
        observations_needed=policy.observations_needed,
    )


@dataclass(frozen=True, slots=True)
class FrozenBatch:
    """A batch as a sign-off keeps it; ``points`` with their sign in the order of ``Part``."""

    pk: int
    day: date
    is_abandoned: bool
    score: float | None
    points: tuple[str, ...]
    remark: str


@dataclass(frozen=True, slots=True)
class FrozenObservation:
    """An observation as a sign-off keeps it."""

    day: date
    observer: str
    rated: tuple[Rated, ...]


@dataclass(frozen=True, slots=True)
class FrozenModule:
    """A module of frozen evidence."""

    title: str
    is_done: bool


@dataclass(frozen=True, slots=True)
class RecordPage:
    """A sign-off with its evidence as it stood, and whether that is still what was signed."""

    decision: SignOff
    evidence: dict
    is_unchanged: bool
    balances: tuple[PartBalance, ...]
    score: float | None
    limiting: str
    batches: tuple[FrozenBatch, ...]
    observations: tuple[FrozenObservation, ...]
    modules: tuple[FrozenModule, ...]
    missing: tuple[str, ...]
    is_due: bool
    can_withdraw: bool

    @property
    def rule(self):
        """What each parameter of the rule is about, and its value."""
        return tuple(
            (RULE_WORDS[name], value)
            for name, value in self.evidence["rule"].items()
            if name in RULE_WORDS
        )

    @property
    def withdrawal(self):
        """The withdrawal, or None."""
        return getattr(self.decision, "withdrawal", None)


RULE_WORDS = {
    "p_ready": gettext_lazy("share of a ready cook"),
    "p_not": gettext_lazy("share of a cook who is not ready"),
    "resemblance": gettext_lazy("how much strands of one batch resemble each other"),
    "log_ratio_cap": gettext_lazy("most that one batch can say, log likelihood ratio"),
    "log_ratio_divisor": gettext_lazy("log likelihood ratio that is worth 100 points"),
    "minimum_readings": gettext_lazy("readings below which a batch earns and costs nothing"),
    "earning_readings": gettext_lazy("readings needed to earn points"),
    "hydration_earns": gettext_lazy("points for water spot on"),
    "hydration_zero": gettext_lazy("part of the water tolerance at which nothing is earned"),
    "abandoned_points": gettext_lazy("points for a batch given up"),
    "earning_batches_a_day": gettext_lazy("batches of a day that can earn"),
    "earning_days": gettext_lazy("days on which a part must have earned"),
    "shown_until": gettext_lazy("balance below which a part is no longer shown"),
    "opening_balance": gettext_lazy("balance to begin with"),
    "observations_needed": gettext_lazy("observations needed"),
    "observation_recent_days": gettext_lazy("one of them within the last days"),
}

MISSING_WORDS = {
    Missing.MEASURED: lambda: _("measured evidence of width, thickness and water"),
    Missing.MODULES: lambda: _("modules read and answered"),
    Missing.OBSERVATIONS: lambda: _("observations with hygiene and safety met"),
    Missing.RECENT_OBSERVATION: lambda: _("a recent observation with hygiene and safety met"),
}


def sign_offs():
    """Return the sign-offs with all that a ``RecordPage`` shows."""
    return SignOff.objects.select_related(
        "cook",
        "style",
        "station",
        "branch",
        "standard",
        "decided_by",
        "practice",
        "withdrawal__withdrawn_by",
    )


def record_page(decision, *, can_withdraw):
    """Return the ``RecordPage`` of one of ``sign_offs``."""
    evidence = decision.evidence
    limiting = evidence["limiting"]
    return RecordPage(
        decision=decision,
        evidence=evidence,
        is_unchanged=is_unchanged(decision),
        balances=tuple(
            PartBalance(
                part.value,
                str(part.label),
                evidence["balances"][part],
                evidence["shown"][part],
            )
            for part in Part
        )
        if evidence["station"]["measured"]
        else (),
        score=evidence["score"],
        limiting=str(Part(limiting).label) if limiting else "",
        batches=tuple(frozen_batch(row) for row in reversed(evidence["batches"])),
        observations=tuple(frozen_observation(row) for row in evidence["observations"]),
        modules=frozen_modules(evidence["modules"]),
        missing=tuple(MISSING_WORDS[Missing(code)]() for code in decision.missing),
        is_due=timezone.localdate() >= decision.due_on,
        can_withdraw=can_withdraw
        and decision.practice.sign_off_id == decision.pk
        and decision.practice.withdrawn_at is None,
    )


def is_unchanged(decision):
    """Whether the stored evidence still has the fingerprint that was written at the signing.

    The event log keeps the fingerprint a second time, so that both would have to be changed.
    """
    logged = (
        Event.objects.filter(
            verb=Event.Verb.SIGNED_OFF, object_type="signoff", object_id=decision.pk
        )
        .annotate(sha256=F("data__sha256"))
        .values_list("sha256", flat=True)
        .first()
    )
    return fingerprint(decision.evidence) == decision.evidence_sha256 == logged


def frozen_batch(row):
    """Return a batch of frozen evidence as the record shows it."""
    reasons = [
        _("%(part)s not counted: %(reason)s")
        % {"part": Part(part).label, "reason": NotCounted(reason).label}
        for part, reason in row["not_counted"].items()
    ]
    return FrozenBatch(
        pk=row["id"],
        day=date.fromisoformat(row["day"]),
        is_abandoned=row["abandoned"],
        score=row["score"],
        points=tuple(signed(row["points"].get(part)) for part in Part.values),
        remark=_("; ").join(reasons),
    )


def frozen_modules(rows):
    """Return the modules of frozen evidence, by their titles in the reader's language.

    What has no title in it keeps the one that was signed.
    """
    titles = dict(
        ModulePage.objects.filter(pk__in=[row["id"] for row in rows])
        .exclude(locale__language_code=get_language())
        .told("title")
        .exclude(told_title=F("title"))
        .values_list("pk", "told_title")
    )
    return tuple(FrozenModule(titles.get(row["id"], row["title"]), row["done"]) for row in rows)


def frozen_observation(row):
    """Return an observation of frozen evidence as the record shows it."""
    return FrozenObservation(
        day=date.fromisoformat(row["day"]),
        observer=row["observer"]["name"],
        rated=rated({name: row[name] for name in Observation.CRITERIA}),
    )
