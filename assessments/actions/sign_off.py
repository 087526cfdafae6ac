"""What a head chef does: look at batches, observe, sign off, withdraw."""

from datetime import timedelta
from importlib.metadata import version

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.actions.evidence import refresh_practices
from assessments.calculations.freezing import fingerprint, storable
from assessments.calculations.requirements import RULE_VERSION, signoff_state
from assessments.calculations.scoring import FORMULA_VERSION, cook_score
from assessments.calculations.standing import State
from assessments.models import (
    Batch,
    Event,
    Observation,
    Part,
    Practice,
    Review,
    Score,
    SignOff,
    Withdrawal,
)
from assessments.models.evidence import evidence_batches, evidence_run, turning_points
from training.models import HousePolicy, ModulePage, ModuleProgress, StandardVersion, User

# Five wrong passwords in ten minutes close the form for a while: a tablet lies about.
WRONG_PASSWORDS = 5
WRONG_PASSWORD_WINDOW = timedelta(minutes=10)
# What is written down later than this is no longer seen, but remembered.
OBSERVATION_LATEST_DAYS = 30

DECISIONS = {
    Batch.State.OPEN: (),
    Batch.State.FINISHED: (Review.Decision.AGREED, Review.Decision.ANOTHER),
    Batch.State.ABANDONED: (Review.Decision.EXCUSED, Review.Decision.ANOTHER),
}


@transaction.atomic
def review_batch(batch, *, by, decision, note="", at=None):
    """Record a head chef's look at a batch, now or ``at``; the first look stands.

    A batch given up is either excused, and then left out of the evidence, or left as it is with
    a word to the cook. Raises ``ValidationError`` when another look is recorded already, the
    decision does not fit the batch, or (at ``note``) the reason is missing.
    """
    batch = Batch.objects.select_for_update().get(pk=batch.pk)
    if Review.objects.filter(batch=batch).exists():
        raise ValidationError(
            _("Somebody has looked at this batch in the meantime. Nothing was changed."),
            code="stale",
        )
    if batch.cook_id == by.pk:
        raise ValidationError(
            _("Nobody can judge their own batch: ask another head chef."), code="oneself"
        )
    if decision not in DECISIONS[batch.state]:
        raise ValidationError(
            _("This decision does not fit a batch that is %(state)s."),
            params={"state": batch.get_state_display()},
            code="decision",
        )
    if decision != Review.Decision.AGREED and not note.strip():
        raise ValidationError(
            {"note": _("Say why, so that the cook knows what to change.")}, code="why"
        )
    review = Review(
        batch=batch,
        reviewer=by,
        decision=decision,
        note=note.strip(),
        decided_at=at or timezone.now(),
    )
    review.full_clean()
    review.save()
    Batch.objects.filter(pk=batch.pk).update(reviewed_at=review.decided_at)
    if decision == Review.Decision.EXCUSED:
        refresh_practices(batch.cook, batch.style)
    Event.record(
        Event.Verb.BATCH_REVIEWED,
        actor=by,
        subject=batch.cook,
        about=batch,
        at=review.decided_at,
        decision=decision,
    )
    return review


def lock_practice(practice):
    """Hold the practice until the transaction ends and return it as it is now.

    Raises ``ValidationError`` when the cook no longer practises there or has left the house.
    """
    # All practices of the style are locked, in one order, so that two decisions cannot wait
    # for each other.
    refresh_practices(practice.person, practice.style)
    practice = Practice.objects.select_related(
        "person", "style", "station", "branch", "sign_off"
    ).get(pk=practice.pk)
    if practice.ended_on is not None or not practice.person.is_active:
        raise ValidationError(
            _("%(cook)s no longer practises %(style)s at this station: %(station)s."),
            params={
                "cook": practice.person,
                "style": practice.style,
                "station": practice.station,
            },
            code="ended",
        )
    return practice


@transaction.atomic
def observe(practice, *, by, request_key, observed_on, **seen):
    """Record an observation; the same ``request_key`` again gives the same one.

    Raises ``ValidationError`` at the fields that are wrong, and without a field when the cook no
    longer practises there.
    """
    practice = lock_practice(practice)
    existing = Observation.objects.filter(
        request_key=request_key, practice=practice, observer=by
    ).first()
    if existing is not None:
        return existing
    observation = Observation(
        practice=practice,
        cook=practice.person,
        observer=by,
        request_key=request_key,
        observed_on=observed_on,
        **seen,
    )
    check_day_seen(observation)
    observation.full_clean()
    observation.save()
    refresh_practices(practice.person, practice.style)
    Event.record(
        Event.Verb.OBSERVED,
        actor=by,
        subject=practice.person,
        about=observation,
        at=observation.recorded_at,
        style=practice.style.name,
        station=practice.station.name,
    )
    return observation


def check_day_seen(observation):
    """Raise ``ValidationError`` at ``observed_on`` for a day to come or too long ago."""
    days = (timezone.localdate(observation.recorded_at) - observation.observed_on).days
    if days < 0:
        raise ValidationError(
            {"observed_on": _("This day is still to come. Give the day on which you saw it.")},
            code="future",
        )
    if days > OBSERVATION_LATEST_DAYS:
        raise ValidationError(
            {
                "observed_on": _(
                    "This is more than %(days)d days ago. Watch the cook again and write down "
                    "what you see."
                )
                % {"days": OBSERVATION_LATEST_DAYS}
            },
            code="long_ago",
        )


def check_password(person, password):
    """Ask for the person's own password again; refuse for a while after too many wrong ones.

    Not to be called inside a transaction that a wrong password would undo.
    """
    with transaction.atomic():
        # One at a time, so that many tries at once are counted too.
        User.objects.select_for_update(no_key=True).get(pk=person.pk)
        refusals = Event.objects.filter(
            actor=person,
            verb=Event.Verb.SIGN_OFF_REFUSED,
            at__gt=timezone.now() - WRONG_PASSWORD_WINDOW,
        ).count()
        throttled = refusals >= WRONG_PASSWORDS
        right = not throttled and person.check_password(password)
        if not throttled and not right:
            Event.record(Event.Verb.SIGN_OFF_REFUSED, actor=person, why="password")
    if throttled:
        raise ValidationError(
            {"password": _("Too many wrong passwords. Wait ten minutes, then try again.")},
            code="throttled",
        )
    if not right:
        raise ValidationError(
            {"password": _("That is not your password. Nothing was recorded.")}, code="password"
        )


def frozen_evidence(practice, *, by, standard, at, policy):
    """Return the evidence as it stands, as JSON-ready values, for keeping with a sign-off."""
    withdrawn_at, earned_at = turning_points(practice.person_id)[practice.pk]
    run = evidence_run(withdrawn_at, earned_at)
    batches = evidence_batches(practice.person_id, practice.style_id, after=run.after)
    state = signoff_state([batch for _pk, batch in batches], rule=run.rule)
    scores = {
        row["batch_id"]: row
        for row in Score.objects.filter(batch__in=[pk for pk, _batch in batches]).values(
            "batch_id",
            "score",
            *(f"{part}_share" for part in Part.values),
            *(f"{part}_not_counted" for part in Part.values),
        )
    }
    in_order = [scores[pk] for pk, _batch in batches if pk in scores]
    score = cook_score([{part: row[f"{part}_share"] for part in Part.values} for row in in_order])
    today = timezone.localdate(at)
    standing = practice.standing(today=today, policy=policy)
    evidence = {
        "day": today.isoformat(),
        "cook": {"id": practice.person_id, "name": str(practice.person)},
        "style": {"id": practice.style_id, "name": practice.style.name},
        "station": {
            "id": practice.station_id,
            "name": practice.station.name,
            "measured": practice.station.measured,
        },
        "branch": {"id": practice.branch_id, "name": practice.branch.name},
        "decided_by": {"id": by.pk, "name": str(by)},
        "evidence_after": run.after.isoformat() if run.after else None,
        "batches": [
            {
                "id": pk,
                "day": batch.day.isoformat(),
                "abandoned": batch.abandoned,
                "points": dict(batch.points),
                "score": scores[pk]["score"] if pk in scores else None,
                "not_counted": {
                    part: scores[pk][f"{part}_not_counted"]
                    for part in Part.values
                    if pk in scores and scores[pk][f"{part}_not_counted"]
                },
            }
            for pk, batch in batches
        ],
        "balances": state.balances,
        "shown": state.shown,
        "complete": state.complete,
        "counted": state.counted,
        "score": score.score,
        "limiting": score.limiting,
        "parts": score.parts,
        "observations": frozen_observations(practice, withdrawn_at),
        "modules": frozen_modules(practice),
        "missing": [str(code) for code in standing.missing],
        "rule": {
            **run.rule.as_evidence(),
            "p_ready": float(standard.ready_share),
            "p_not": float(standard.not_ready_share),
            "observations_needed": policy.observations_needed,
            "observation_recent_days": policy.observation_recent_days,
            "only_chosen_strands": policy.only_chosen_strands,
        },
        "rule_version": RULE_VERSION,
        "formula_version": FORMULA_VERSION,
        "standard": {"id": standard.pk, "number": standard.number},
        "software_version": version("evenhand"),
    }
    return storable(evidence)


def frozen_observations(practice, withdrawn_at):
    """Return every observation since the last withdrawal, met or not, oldest first."""
    rows = practice.observations.select_related("observer").order_by("observed_on", "pk")
    return [
        {
            "id": row.pk,
            "day": row.observed_on.isoformat(),
            "observer": {"id": row.observer_id, "name": str(row.observer)},
            **{name: getattr(row, name) for name in Observation.CRITERIA},
        }
        for row in rows
        if row.counts_after(withdrawn_at)
    ]


def frozen_modules(practice):
    """Return the modules that the station demands, and whether each was done."""
    done = ModuleProgress.objects.filter(
        person=practice.person_id, read_at__isnull=False, answered_at__isnull=False
    ).values("module_id")
    modules = ModulePage.objects.demanded().filter(station=practice.station_id)
    finished = set(modules.filter(pk__in=done).values_list("pk", flat=True))
    return [
        {"id": pk, "title": title, "done": pk in finished}
        for pk, title in modules.order_by("pk").values_list("pk", "title")
    ]


def sign_off(practice, *, by, password, request_key, override_reason="", seen_missing=()):
    """Sign a cook off for a station and style; the same ``request_key`` again changes nothing.

    Raises ``ValidationError`` at ``password`` when it is wrong, at ``override_reason`` when
    evidence is missing and no reason is given, and without a field when the cook is signed off
    already, no house standard is in force, or the evidence is no longer what the head chef saw
    (``seen_missing``).
    """
    # Outside the transaction: a refusal must stay on record although nothing else is written.
    check_password(by, password)
    # On its own, so that a page that is shown again after a refusal shows it as it is now.
    refresh_practices(practice.person, practice.style)
    return write_sign_off(
        practice,
        by=by,
        request_key=request_key,
        override_reason=override_reason.strip(),
        seen_missing=seen_missing,
    )


@transaction.atomic
def write_sign_off(practice, *, by, request_key, override_reason="", seen_missing=(), at=None):
    """Write the decision of a head chef who has proved who they are, as of now or ``at``."""
    at = at or timezone.now()
    today = timezone.localdate(at)
    policy = HousePolicy.load()
    practice = lock_practice(practice)
    existing = SignOff.objects.filter(
        request_key=request_key, practice=practice, decided_by=by
    ).first()
    if existing is not None:
        return existing
    standing = practice.standing(today=today, policy=policy)
    check_decision(practice, standing, override_reason, seen_missing)
    standard = standard_in_force(practice.style, today)
    evidence = frozen_evidence(practice, by=by, standard=standard, at=at, policy=policy)
    decision = SignOff(
        practice=practice,
        cook=practice.person,
        style=practice.style,
        station=practice.station,
        branch=practice.branch,
        standard=standard,
        decided_by=by,
        decided_at=at,
        due_on=today + timedelta(days=policy.renewal_days),
        is_override=bool(standing.missing),
        override_reason=override_reason if standing.missing else "",
        missing=evidence["missing"],
        evidence=evidence,
        evidence_sha256=fingerprint(evidence),
        request_key=request_key,
    )
    decision.full_clean()
    decision.save()
    Practice.objects.filter(pk=practice.pk).update(sign_off=decision, withdrawn_at=None)
    refresh_practices(practice.person, practice.style)
    Event.record(
        Event.Verb.SIGNED_OFF,
        actor=by,
        subject=practice.person,
        about=decision,
        at=at,
        override=decision.is_override,
        sha256=decision.evidence_sha256,
        style=practice.style.name,
        station=practice.station.name,
    )
    return decision


def check_decision(practice, standing, override_reason, seen_missing):
    """Raise ``ValidationError`` where the practice cannot be signed as the head chef saw it."""
    if standing.state == State.SIGNED_OFF:
        raise ValidationError(
            _("%(cook)s is signed off already. Nothing was changed."),
            params={"cook": practice.person},
            code="already",
        )
    if set(standing.missing) - set(seen_missing):
        raise ValidationError(
            _("The evidence has changed since you opened the page. Look again before you sign."),
            code="stale",
        )
    if standing.missing and not override_reason:
        raise ValidationError(
            {
                "override_reason": _(
                    "Evidence is missing. Ask for it, or say here why you sign without it."
                )
            },
            code="missing",
        )


def standard_in_force(style, day):
    """Return the version that a sign-off on ``day`` names; ValidationError when there is none."""
    standard = StandardVersion.objects.in_force(day).filter(style=style).first()
    if standard is None:
        raise ValidationError(
            _(
                "No house standard of %(style)s is in force today, so there is nothing to sign "
                "against. Ask an editor to publish one."
            ),
            params={"style": style},
            code="no_standard",
        )
    return standard


def withdraw(decision, *, by, password, reason):
    """Withdraw a sign-off with a reason; the evidence starts anew from here.

    Raises ``ValidationError`` at ``password`` or ``reason``, or without a field when the sign-off
    was withdrawn or replaced in the meantime.
    """
    check_password(by, password)
    return write_withdrawal(decision, by=by, reason=reason.strip())


@transaction.atomic
def write_withdrawal(decision, *, by, reason, at=None):
    """Write the withdrawal of a head chef who has proved who they are, as of now or ``at``."""
    refresh_practices(decision.cook, decision.style)
    practice = Practice.objects.select_for_update(no_key=True).get(pk=decision.practice_id)
    if practice.sign_off_id != decision.pk or practice.withdrawn_at is not None:
        raise ValidationError(
            _("This sign-off no longer holds: it was withdrawn or renewed in the meantime."),
            code="stale",
        )
    if decision.cook_id == by.pk:
        raise ValidationError(
            _("Nobody can withdraw their own sign-off: ask another head chef."), code="oneself"
        )
    if not reason:
        raise ValidationError({"reason": _("Say why: the cook and the owner read it.")}, code="why")
    withdrawal = Withdrawal(
        sign_off=decision, withdrawn_by=by, reason=reason, withdrawn_at=at or timezone.now()
    )
    withdrawal.full_clean()
    withdrawal.save()
    Practice.objects.filter(pk=practice.pk).update(withdrawn_at=withdrawal.withdrawn_at)
    refresh_practices(decision.cook, decision.style)
    Event.record(
        Event.Verb.WITHDRAWN,
        actor=by,
        subject=decision.cook,
        about=decision,
        at=withdrawal.withdrawn_at,
        reason=reason,
        style=decision.style.name,
        station=decision.station.name,
    )
    return withdrawal
