"""Lists and quotations in templates, in the punctuation of the reader's language."""

from django import template

from training import names

register = template.Library()
register.filter("listed", names.listed)
register.filter("quoted", names.quoted)
