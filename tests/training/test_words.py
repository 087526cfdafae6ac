"""Words of the trade: on their own page, and linked from where they first stand in a module."""

from importlib import import_module
from pkgutil import iter_modules
from types import SimpleNamespace

import pytest
from django.urls import reverse
from django.utils.safestring import SafeString

from tests.training import module_bodies
from training import curriculum
from training.curriculum.words import WORDS
from training.curriculum_check import sheet_of_module
from training.curriculum_pages import load_words
from training.glossary import first_places, link_words, pattern
from training.models import Word


def word(term, **fields):
    return SimpleNamespace(term=term, url=f"/words/#{term}", **fields)


BRINE, UCHIKO, BOARD = word("brine"), word("uchiko"), word("guide board")


def test_a_word_is_linked_once():
    html = link_words("Brine is salt. The brine is cold.", [BRINE])
    assert html == '<a class="word" href="/words/#brine">Brine</a> is salt. The brine is cold.'
    assert isinstance(html, SafeString)


@pytest.mark.parametrize(
    "text", ["Briney.", "brine-like"[:5] + "s", '<strong class="brine">x</strong>']
)
def test_parts_of_words_and_tags_are_left_alone(text):
    assert link_words(text, [BRINE]) == text


def test_several_words_in_one_text():
    html = link_words("The guide board and uchiko.", [UCHIKO, BOARD])
    assert html.count("<a ") == 2
    assert ">guide board</a>" in html


def test_longer_words_win_over_shorter():
    assert pattern(["board", "guide board"]).search("a guide board")[0] == "guide board"


def block(kind, block_id, **value):
    return SimpleNamespace(block_type=kind, id=block_id, value=value)


def test_first_places_in_the_order_of_reading():
    body = [
        block("caution", "a", text="Kansui burns."),
        block("step", "b", do="Use brine.", look_feel="The brine is clear. Uchiko lies on it."),
        block("question", "c", prompt="What is uchiko?"),
        block("fault", "d", see="Brine.", tell="x", cause="No uchiko.", remedy="y"),
    ]
    assert first_places(body, [BRINE, UCHIKO, BOARD]) == {
        "b": {"do": (BRINE,), "look_feel": (UCHIKO,)}
    }
    assert first_places(body, []) == {}


def test_module_page_leads_to_the_meaning(client, house):
    brine = Word.objects.create(
        term="brine", script="塩水", reading="en-sui", meaning="Salt water."
    )
    body = [
        module_bodies.step(do="Pour the brine <slowly>.", look_feel="The brine is clear."),
        module_bodies.step("Turn it", do="No brine is left. The house wants {{width}}."),
    ]
    page = module_bodies.write_module(house.cutting, body=body)
    client.force_login(house.cook)
    text = client.get(page.address).content.decode()
    assert f'Pour the <a class="word" href="{brine.url}">brine</a> &lt;slowly&gt;.' in text
    assert text.count('class="word"') == 1
    listed = client.get(reverse("words")).content.decode()
    assert 'id="brine"' in listed
    assert '<span lang="ja">塩水</span>' in listed
    assert "Salt water." in listed


def test_page_of_a_house_without_words(client, house):
    client.force_login(house.cook)
    assert "No word is written down yet." in client.get(reverse("words")).content.decode()


def test_words_that_come_with_the_site_are_written_down_once_and_left_alone(db):
    load_words()
    Word.objects.filter(term="kansui").update(meaning="Our own.")
    load_words()
    assert Word.objects.count() == len(WORDS)
    assert Word.objects.get(term="kansui").meaning == "Our own."
    anchors = [one.anchor for one in Word.objects.all()]
    assert len(set(anchors)) == len(anchors)


def test_a_word_in_another_script_has_an_anchor(db):
    assert Word.objects.create(term="打ち粉", meaning="Starch.").anchor.startswith("word-")


def test_every_word_that_comes_with_the_site_stands_in_a_module():
    """A word that no module uses explains nothing."""
    names = [one.name for one in iter_modules(curriculum.__path__)]
    found = [import_module(f"training.curriculum.{name}") for name in names]
    modules = [one.MODULE for one in found if hasattr(one, "MODULE")]
    text = " ".join(text for module in modules for text in sheet_of_module(module).texts)
    assert [one.term for one in WORDS if not pattern([one.term]).search(text)] == []
