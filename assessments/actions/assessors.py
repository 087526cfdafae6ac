"""What keeps those who judge fair: second looks, ratings given blind, calibration sets."""

import re
from collections import Counter

import numpy as np
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Max
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.calculations.agreement import second_looks
from assessments.models import (
    Batch,
    BlindLook,
    CalibrationPiece,
    CalibrationRating,
    CalibrationSet,
    Event,
    Practice,
    SecondLook,
)
from training.models import HousePolicy, Role, User

# The balance between assessors looks back on so many looks of the branch.
PAST_LOOKS = 100
MOST_PIECES = 30
# Keeps the lot apart from the other numbers that the batch's seed gives.
LOT = 2
# Shorter than this, a name is found in too many words.
LEAST_LETTERS = 3


def propose_second_look(batch):
    """Now and then have two head chefs see a batch that was opened just now.

    Chance and lot follow from the batch alone, before anything of it is measured. Returns the
    ``SecondLook``, or None: for a batch of another day, where the lot falls otherwise, or where
    fewer than two head chefs could observe the cook.
    """
    if batch.made_on != timezone.localdate():
        return None
    lot = np.random.default_rng([batch.strand_seed, batch.pk, LOT])
    if 100 * lot.random() >= HousePolicy.load().second_look_percent:
        return None
    assessors = _assessors_of(batch)
    if len(assessors) < 2:
        return None
    past = _past_looks(batch)
    looks = Counter(person for look in past for person in (look.first, look.second))
    first = min(lot.permutation(assessors).tolist(), key=looks.__getitem__)
    candidate = second_looks.Candidate(batch.pk, batch.cook_id, first, tuple(assessors))
    [chosen] = second_looks.propose_second_looks(
        [candidate], 1, seed=int(lot.integers(2**31)), past=past
    )
    look, is_new = SecondLook.objects.get_or_create(
        batch=batch, defaults={"first_id": chosen.first, "second_id": chosen.second}
    )
    if is_new:
        # Without a subject, so that the cook, who reads what happened, does not cook for it.
        Event.record(Event.Verb.SECOND_LOOK_PROPOSED, actor=None, about=look)
    return look


def _assessors_of(batch):
    """Return the ids of those who may observe the batch's cook at the bench where it is made."""
    practised = Practice.objects.filter(
        person=batch.cook_id, style=batch.style_id, ended_on__isnull=True
    )
    if batch.branch_id not in batch.cook.home_branch_ids or not practised.exists():
        return []
    head_chefs = Role.objects.filter(
        kind=Role.Kind.HEAD_CHEF, branch=batch.branch_id, person__is_active=True
    ).exclude(person=batch.cook_id)
    return sorted(set(head_chefs.values_list("person", flat=True)))


def _past_looks(batch):
    rows = (
        SecondLook.objects.filter(batch__branch=batch.branch_id)
        .exclude(batch=batch)
        .order_by("-proposed_at")
        .values_list("batch", "batch__cook", "first", "second")
    )
    return [second_looks.SecondLook(*row) for row in rows[:PAST_LOOKS]]


@transaction.atomic
def rate_blind(batch, *, by, evenness):
    """Keep how even a batch looked to its assessor before score and name; the first look stands.

    Raises ``ValidationError`` for one's own batch and for one that is not finished.
    """
    batch = Batch.objects.select_for_update().get(pk=batch.pk)
    existing = BlindLook.objects.filter(batch=batch, assessor=by).first()
    if existing is not None:
        return existing
    if batch.cook_id == by.pk:
        raise ValidationError(
            _("Nobody can judge their own batch: ask another head chef."), code="oneself"
        )
    if batch.state != Batch.State.FINISHED:
        raise ValidationError(_("Only a finished batch can be rated."), code="state")
    look = BlindLook(batch=batch, assessor=by, evenness=evenness)
    look.full_clean()
    look.save()
    Event.record(Event.Verb.RATED_BLIND, actor=by, about=batch)
    return look


@transaction.atomic
def make_calibration(*, title, by):
    """Begin a calibration set; the same title again gives the draft that is there already."""
    # One at a time, so that a form sent twice makes one set.
    User.objects.select_for_update(no_key=True).get(pk=by.pk)
    drafts = CalibrationSet.objects.filter(made_by=by, title=title, opened_at__isnull=True)
    made = drafts.first()
    if made is None:
        made = CalibrationSet(title=title, made_by=by)
        made.full_clean()
        made.save()
    return made


@transaction.atomic
def put_piece(calibration_set, batch, *, seen, **ratings):
    """Add a batch to a draft with its reference ratings, or change what is said of it there.

    Raises ``ValidationError`` for a set that was opened, a batch without a measured photo, too
    many pieces, and (at ``seen``) where the cook is named.
    """
    held = _hold_draft(calibration_set)
    piece = held.pieces.filter(batch=batch).first()
    if piece is None:
        _check_new_piece(held, batch)
        last = held.pieces.aggregate(last=Max("position"))["last"] or 0
        piece = CalibrationPiece(calibration_set=held, batch=batch, position=last + 1)
    named = _name_in(seen, batch.cook)
    if named:
        raise ValidationError(
            {
                "seen": _("“%(name)s” tells whose batch it is. Write “the cook” instead.")
                % {"name": named}
            },
            code="named",
        )
    piece.seen = seen
    for name, rating in ratings.items():
        setattr(piece, name, rating)
    piece.full_clean()
    piece.save()
    return piece


def _check_new_piece(held, batch):
    if held.pieces.count() >= MOST_PIECES:
        raise ValidationError(
            _("A set holds %(most)d pieces. Take one out first."),
            params={"most": MOST_PIECES},
            code="many",
        )
    if not batch.photographs.measured().exists():
        raise ValidationError(
            _("This batch has no photo of its strands: there is nothing to rate by eye."),
            code="photo",
        )


def _name_in(text, cook):
    """Return a name of ``cook`` that stands in ``text``; nothing where none does.

    Capitals and small letters are told apart: dough rose, Rose did not.
    """
    for name in (cook.first_name, cook.last_name):
        if len(name) >= LEAST_LETTERS and re.search(rf"\b{re.escape(name)}\b", text):
            return name
    return ""


@transaction.atomic
def remove_piece(calibration_set, position):
    """Take a piece out of a draft; those after it move up. Nothing where there is none."""
    held = _hold_draft(calibration_set)
    gone, _rows = held.pieces.filter(position=position).delete()
    if gone:
        for piece in held.pieces.filter(position__gt=position).order_by("position"):
            # One by one: two at the same place are refused, even for a moment.
            CalibrationPiece.objects.filter(pk=piece.pk).update(position=F("position") - 1)


@transaction.atomic
def discard_calibration(calibration_set):
    """Take a draft away."""
    _hold_draft(calibration_set).delete()


@transaction.atomic
def open_calibration(calibration_set, *, by):
    """Let every assessor rate the set: from now on its pieces stay as they are.

    Raises ``ValidationError`` for a set without a piece.
    """
    held = CalibrationSet.objects.select_for_update().get(pk=calibration_set.pk)
    if held.opened_at is None:
        if not held.pieces.exists():
            raise ValidationError(
                _("Nothing can be rated yet: add a batch with a photo first."), code="empty"
            )
        held.opened_at = timezone.now()
        held.save(update_fields=["opened_at"])
        Event.record(Event.Verb.CALIBRATION_OPENED, actor=by, about=held, at=held.opened_at)
    return held


@transaction.atomic
def close_calibration(calibration_set, *, by):
    """End the rating of a set. Raises ``ValidationError`` for one that was never opened."""
    held = CalibrationSet.objects.select_for_update().get(pk=calibration_set.pk)
    if held.opened_at is None:
        raise ValidationError(_("This set was never opened for rating."), code="draft")
    if held.closed_at is None:
        held.closed_at = timezone.now()
        held.save(update_fields=["closed_at"])
        Event.record(Event.Verb.CALIBRATION_CLOSED, actor=by, about=held, at=held.closed_at)
    return held


@transaction.atomic
def rate_piece(piece, *, by, request_key, **ratings):
    """Keep how an assessor rates a piece; the same ``request_key`` again gives the same rating.

    Raises ``ValidationError`` when the set is not open, the assessor has rated the piece already,
    made the set or cooked the batch, and where a criterion of the piece is not rated.
    """
    held = CalibrationSet.objects.select_for_update().get(pk=piece.calibration_set_id)
    existing = CalibrationRating.objects.filter(piece=piece, assessor=by).first()
    if existing is not None and existing.request_key == request_key:
        return existing
    if existing is not None:
        raise ValidationError(
            _("You have rated this piece already. The first rating stands."), code="rated"
        )
    if held.opened_at is None or held.closed_at is not None:
        raise ValidationError(_("This set is not open for rating."), code="closed")
    if by.pk in (held.made_by_id, piece.batch.cook_id):
        raise ValidationError(
            _("Who made the set or the batch cannot rate it blind."), code="not_blind"
        )
    given = {name: ratings.get(name) for name in piece.criteria}
    missing = {name: _("Rate this too.") for name, rating in given.items() if rating is None}
    if missing:
        raise ValidationError(missing, code="missing")
    rating = CalibrationRating(piece=piece, assessor=by, request_key=request_key, **given)
    rating.full_clean()
    rating.save()
    Event.record(Event.Verb.CALIBRATION_RATED, actor=by, about=piece, at=rating.rated_at)
    return rating


def _hold_draft(calibration_set):
    """Keep others from changing a draft until the transaction ends; refuse one that was opened."""
    held = CalibrationSet.objects.select_for_update().get(pk=calibration_set.pk)
    if held.opened_at is not None:
        raise ValidationError(
            _("This set was opened for rating: its pieces stay as they are."), code="opened"
        )
    return held
