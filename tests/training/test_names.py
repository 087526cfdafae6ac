"""Names, lists and quotations in the reader's language."""

import pytest
from babel.lists import format_list
from django.template import Context, Template
from django.utils import translation

from training.names import listed, quoted


@pytest.mark.parametrize(("code", "style"), [("en", "unit"), ("ja", "standard")])
def test_a_list_has_the_comma_of_the_language(code, style):
    """As the Unicode locale data (CLDR) have it."""
    names = ["rolling", "cutting", "boiling"]
    with translation.override(code):
        assert listed(names) == format_list(names, style=style, locale=code)
    assert listed([]) == ""


@pytest.mark.parametrize(
    ("code", "marks"),
    # Spanish: Ortografía de la lengua española (2010); the others as the locale data have them.
    [("en", "“”"), ("es", "«»"), ("ja", "「」")],
)
def test_a_quotation_has_the_marks_of_the_language(code, marks):
    with translation.override(code):
        assert quoted("100 %") == f"{marks[0]}100 %{marks[1]}"


def test_in_a_template_what_somebody_wrote_stays_text():
    template = Template("{% load wording %}{{ note|quoted }} {{ names|listed }}")
    shown = template.render(Context({"note": "<b>", "names": ["<i>", 2]}))
    assert shown == "“&lt;b&gt;” &lt;i&gt;, 2"
