"""Searching modules, faults and words; forgiving of spelling; one page of results."""

import pytest
from django.urls import reverse
from django.utils import translation

from tests.training import module_bodies
from training.curriculum_pages import load_curriculum
from training.models import ModulePage, Word
from training.search import (
    MOST_FAULTS,
    MOST_MODULES,
    MOST_WORDS,
    corpus,
    nearest,
    search,
    variants,
    words_of,
)


@pytest.fixture
def module(house):
    body = [
        module_bodies.step(do="Lay the strands on the tray.", look_feel="Nothing clings."),
        module_bodies.fault(see="A crease stays in the sheet.", cause="The pin slid."),
        module_bodies.fault(see="The knife drags.", remedy="Whet it, and mind the crease."),
    ]
    return module_bodies.write_module(house.cutting, body=body)


def titles(query):
    return [page.title for page in search(query).modules]


def test_words_of_keeps_letters_of_any_script():
    assert words_of("Don't press 3 mm 打ち粉, knead!") == [
        "don't",
        "press",
        "mm",
        "打ち粉",
        "knead",
    ]


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("strand", {"strand", "strands"}),
        ("strands", {"strand", "strands"}),
        ("rolling", {"rolling"}),
        ("roll", {"roll", "rolling", "rolled"}),
        ("cut", {"cut", "cuts"}),
        ("xyz", set()),
    ],
)
def test_variants_of_a_word(word, found):
    vocabulary = {"strand", "strands", "roll", "rolling", "rolled", "cut", "cuts", "cutlery"}
    assert variants(word, vocabulary) == found


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("pegados", {"pega", "pegan", "pegado", "pegados", "pegarse"}),
        ("cocer", {"cocer", "cocido"}),
        ("coccion", {"cocción"}),
        ("pesos", {"peso"}),
        ("xyz", set()),
    ],
)
def test_variants_of_a_spanish_word(word, found):
    pegar = {"pega", "pegan", "pegado", "pegados", "pegarse"}
    with translation.override("es"):
        assert variants(word, pegar | {"cocer", "cocido", "cocción", "peso"}) == found


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("蕎麦", "そば"),
        ("ソバ", "ｿﾊﾞ"),
        ("茹でる", "ゆでる"),
        ("硬い", "かたい"),
        ("打粉", "打ち粉"),
    ],
)
def test_one_japanese_word_in_two_spellings(one, other):
    assert words_of(one) == words_of(other)


@pytest.mark.parametrize(
    ("word", "found"),
    [("bukwheat", "buckwheat"), ("creese", "crease"), ("calliper", "caliper"), ("zzzz", "zzzz")],
)
def test_a_misspelt_word_finds_its_neighbour(word, found):
    known = {"buckwheat", "crease", "creeps", "caliper", "increase", "wheat"}
    assert nearest(word, known) == found


@pytest.mark.parametrize("query", ["strands", "strand", "STRANDS", "the strands on the tray"])
def test_module_is_found_by_its_text(module, query):
    assert titles(query) == ["Folding"]


def test_modules_with_all_words_are_found_before_those_with_one(house, module):
    module_bodies.write_module(
        house.cutting, slug="other", body=[module_bodies.step(do="Lay the kelp on the tray.")]
    )
    assert len(titles("tray")) == 2
    assert [page.slug for page in search("strands tray").modules] == ["folding"]


def test_faults_by_sign_come_before_those_that_only_name_it(module):
    assert [one.see for one in search("crease").faults] == ["A crease stays in the sheet."]
    assert [one.see for one in search("whet").faults] == ["The knife drags."]


def test_misspelt_query_says_what_was_looked_for_instead(module):
    results = search("creese in the sheeet")
    assert results.instead == "crease sheet"
    assert [one.see for one in results.faults] == ["A crease stays in the sheet."]
    assert search("crease").instead == ""


@pytest.mark.parametrize("query", ["打ち粉", "uchi-ko", "dusting"])
def test_word_is_found_by_term_script_reading_and_meaning(db, query):
    Word.objects.create(
        term="uchiko", script="打ち粉", reading="uchi-ko", meaning="Starch for dusting."
    )
    assert [word.term for word in search(query).words] == ["uchiko"]


def test_nothing_found(module):
    assert search("qqqqqq").is_empty


def test_unpublished_modules_are_not_found(module):
    assert not search("strands").is_empty
    module.unpublish()
    assert search("strands").is_empty


def test_a_change_is_found_at_once(module):
    assert search("lacquer").is_empty
    module.body.append(module_bodies.step(do="Lay it on the lacquer board."))
    module.save_revision().publish()
    assert titles("lacquer") == ["Folding"]
    Word.objects.create(term="hake", meaning="A brush for starch.")
    assert [word.term for word in search("hake").words] == ["hake"]


def test_an_unchanged_curriculum_is_read_once(module, django_assert_num_queries):
    corpus()
    with django_assert_num_queries(2):
        corpus()


def test_results_of_the_whole_curriculum_stand_on_one_page(db):
    load_curriculum()
    for query in ("dough", "knife", "water", "the dough sticks", "even strands"):
        results = search(query)
        assert 0 < len(results.modules) <= MOST_MODULES
        assert 0 < len(results.faults) <= MOST_FAULTS
        assert len(results.words) <= MOST_WORDS


@pytest.mark.parametrize(
    ("query", "slug"),
    [
        ("guide board", "folding-and-cutting"),
        ("thik edge", "rolling-to-an-even-sheet"),
        ("spring back", "treading-and-resting"),
        ("salt disolved", "mixing-in-the-water"),
    ],
)
def test_a_cook_finds_the_right_module_first_or_by_its_fault(db, query, slug):
    load_curriculum()
    results = search(query)
    first = [page.slug for page in results.modules][:3]
    assert slug in first or any(f"/{slug}/" in one.url for one in results.faults)


@pytest.mark.parametrize(
    ("language", "wanted"),
    [
        (
            "es",
            {
                "fideos pegados": "cooling-and-washing",
                "como cocer los fideos": "boiling-the-noodles",
                "masa dura": "treading-and-resting",
            },
        ),
        (
            "ja",
            {
                "蕎麦": "mixing-buckwheat",
                "茹で時間": "boiling-the-noodles",
                "麺がくっ付く": "cooling-and-washing",
            },
        ),
    ],
)
def test_a_cook_finds_the_right_module_in_their_own_language(db, language, wanted):
    load_curriculum(languages=[language])
    with translation.override(language):
        for query, slug in wanted.items():
            results = search(query)
            assert results.instead == ""
            found = [page.address for page in results.modules] + [one.url for one in results.faults]
            assert any(f"/{slug}/" in address for address in found), query


def test_page_shows_what_is_found_with_the_way_to_it(reader, module):
    text = reader.get(reverse("search"), {"q": "crease"}).content.decode()
    assert f'href="{module.address}#fault-1"' in text
    assert f'href="{module.address}"' in text
    assert 'value="crease"' in text


@pytest.mark.parametrize(
    ("query", "message"),
    [("", "Type a word"), ("x" * 81, "too long"), ("… 3 !", "with letters")],
)
def test_a_query_that_cannot_be_looked_for_says_why(reader, query, message):
    response = reader.get(reverse("search"), {"q": query})
    assert response.status_code == 200
    assert message in response.content.decode()


def test_an_odd_query_breaks_nothing(reader, module):
    for query in ("'\"; DROP TABLE", "NEAR(a b) OR *", "<script>alert(1)</script>", "-a", "a:b"):
        response = reader.get(reverse("search"), {"q": query})
        assert response.status_code == 200
        assert "<script>alert" not in response.content.decode()


def test_search_page_before_anything_was_asked(reader):
    text = reader.get(reverse("search")).content.decode()
    assert "errorlist" not in text


def test_pages_of_the_editor_are_not_searched(db, house):
    assert ModulePage.objects.count() == 0
    assert search("modules").is_empty
