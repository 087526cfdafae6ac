"""What the demo house calls things, in the languages that the site comes with."""

import pytest
from django.conf import settings
from django.utils import translation

from assessments.demo_house.names import INSTRUMENTS, STYLES
from assessments.demo_house.recipes import RECIPES
from training.names import told

SHOWN = {
    *(name for _slug, name in STYLES),
    *(name for name, *_rest in INSTRUMENTS),
    *(row[0] for recipe in RECIPES for row in (*recipe.flours, *recipe.others, *recipe.seasons)),
    *(row[-1] for recipe in RECIPES for row in (*recipe.flours, *recipe.others) if row[-1]),
}


@pytest.mark.parametrize("code", [code for code, _name in settings.LANGUAGES])
def test_different_things_have_different_names_in_every_language(code):
    """An allergen that is called like a style would tell nobody what is in the dough."""
    with translation.override(code):
        by_name = {told(name): name for name in SHOWN}
    assert set(by_name.values()) == SHOWN
    if code != settings.LANGUAGE_CODE:
        assert not SHOWN & set(by_name)
