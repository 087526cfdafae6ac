"""Pictures and numbers of the house standard in the pages of the modules."""

from django import template
from django.templatetags.static import static

from training.blocks import drawings
from training.glossary import link_words
from training.numbers import fill, minutes

register = template.Library()


@register.filter
def filled(text, numbers):
    """Return ``text`` with each ``{{key}}`` filled from ``numbers``."""
    return fill(text or "", numbers or {})


@register.filter
def explained(text, words):
    """Return HTML in which these words of the trade lead to their meaning."""
    return link_words(text, words or ())


@register.filter
def in_minutes(length):
    """Return a length of time, min, in words."""
    return minutes(length)


@register.filter
def number(numbers, key):
    """Return the number of the standard called ``key``, or None."""
    return numbers.get(key)


@register.filter
def drawing_url(name):
    """Return the address of a drawing; empty for one that the house no longer has."""
    return static(f"illustrations/{name}.svg") if name in dict(drawings()) else ""
