"""Boil tests of the house: write one down, take one back."""

import math

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.template.defaultfilters import floatformat
from django.utils import timezone
from django.utils.translation import gettext as _

from assessments.calculations.pot import BoilTest as TestedSection
from assessments.calculations.pot import boil, calibrate, correct
from assessments.models import BoilTest, Event
from training.models import StandardVersion


def record_boil_test(*, request_key, by, **fields):
    """Write down a boil test; the same ``request_key`` again gives the same test.

    Raises ``ValidationError`` at the fields for a day to come, for a section that is too far from
    that of the standard in force, and for minutes that cannot be for the section; and for the key
    of somebody else's.
    """
    sent_before = BoilTest.objects.filter(request_key=request_key, recorded_by=by)
    existing = sent_before.first()
    if existing is not None:
        return existing
    test = BoilTest(request_key=request_key, recorded_by=by, **fields)
    test.full_clean(exclude=["request_key"])
    _refuse_what_cannot_be(test)
    try:
        with transaction.atomic():
            test.save()
            Event.record(
                Event.Verb.BOIL_TEST_RECORDED,
                actor=by,
                about=test,
                style=test.style.name,
                width_mm=str(test.width_mm),
                thickness_mm=str(test.thickness_mm),
                done_at_min=str(test.done_at_min),
            )
    except IntegrityError:
        # The same form, sent twice at the same moment: the other one was a little faster.
        existing = sent_before.first()
        if existing is None:
            raise ValidationError(
                _("This page was used for another boil test. Load it again."), code="used"
            ) from None
        return existing
    return test


@transaction.atomic
def remove_boil_test(test, *, by):
    """Take a boil test back: it no longer counts, and stays on record. Again, nothing changes."""
    test = BoilTest.objects.select_for_update(of=("self",)).select_related("style").get(pk=test.pk)
    if test.removed_at is None:
        test.removed_at = timezone.now()
        test.save(update_fields=["removed_at"])
        Event.record(Event.Verb.BOIL_TEST_REMOVED, actor=by, about=test, style=test.style.name)
    return test


def _refuse_what_cannot_be(test):
    today = timezone.localdate()
    if test.tested_on > today:
        raise ValidationError(
            {"tested_on": _("This day is still to come. Type the day of the test.")}
        )
    standard = StandardVersion.objects.in_force(today).filter(style=test.style).first()
    if standard is None:
        raise ValidationError(
            {"style": _("No house standard of this style is in force. Publish one first.")}
        )
    plain = calibrate(
        float(standard.width_target_mm),
        float(standard.thickness_target_mm),
        float(standard.boil_time_min),
    )
    section = TestedSection(float(test.width_mm), float(test.thickness_mm), float(test.done_at_min))
    [strand] = boil(plain, [section.width_mm], [section.thickness_mm]).strands
    if strand.beyond:
        raise ValidationError(_too_far(section, plain))
    try:
        correct(plain, [section])
    except ValueError:
        cannot_be = _(
            "By the boil time of the house a strand of this size is done after about %(expected)s "
            "minutes. %(found)s is over three times as long, or as short. Look at minutes, width "
            "and thickness."
        ) % {
            "expected": floatformat(strand.done_min, 1),
            "found": floatformat(section.done_min, 1),
        }
        raise ValidationError({"done_at_min": cannot_be}) from None


def _too_far(section, plain):
    """Return the message, by the name of the size that is farther off."""
    width_off, thickness_off = (
        abs(math.log(size / target))
        for size, target in (
            (section.width_mm, plain.width_mm),
            (section.thickness_mm, plain.thickness_mm),
        )
    )
    message = _(
        "%(width)s × %(thickness)s mm is too far from the standard, %(wanted_width)s × "
        "%(wanted_thickness)s mm. Look at both sizes, or test a strand nearer to it."
    ) % {
        "width": floatformat(section.width_mm, 2),
        "thickness": floatformat(section.thickness_mm, 2),
        "wanted_width": floatformat(plain.width_mm, 2),
        "wanted_thickness": floatformat(plain.thickness_mm, 2),
    }
    return {"width_mm" if width_off > thickness_off else "thickness_mm": message}
