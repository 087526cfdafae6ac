"""Times in the pot in templates."""

from django import template

from assessments.summaries.pot import clock
from training.access import can_record_boil_tests

register = template.Library()
register.filter("clock", clock)
register.filter("may_record_boil_tests", can_record_boil_tests)
