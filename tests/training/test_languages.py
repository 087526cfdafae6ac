"""The site and its modules in several languages: the same record whatever is read."""

import re
from gettext import GNUTranslations
from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from django.conf import settings
from django.core.management import call_command
from django.urls import reverse
from django.utils import translation
from wagtail.models import GroupPagePermission, Locale

from tests.training import module_bodies
from training.again import again_today
from training.catalogue_files import catalogues, write_catalogues
from training.catalogues import (
    all_texts,
    missing_translations,
    other_languages,
    text_in,
    value_in,
)
from training.curriculum import MODULES
from training.curriculum_pages import load_curriculum, translate_pages
from training.models import ModuleIndexPage, ModulePage, ModuleProgress, User, Word
from training.module_list import module_list
from training.numbers import PLACEHOLDER
from training.reading import record_all_steps, record_answer
from training.summaries import reading_of
from training.went_wrong import causes_of

BODY = [
    module_bodies.step(title="Fold it", do="Fold the sheet."),
    module_bodies.fault(see="A crease stays.", signs=["crease"], step="Fold it"),
    module_bodies.question("Why dust it?"),
]


@pytest.fixture
def original(house):
    return module_bodies.write_module(house.cutting, body=BODY)


def in_language(page, code, **texts):
    """Publish ``page`` in a language, as an editor does: a copy, then other words."""
    locale, _created = Locale.objects.get_or_create(language_code=code)
    copy = page.copy_for_translation(locale, copy_parents=True)
    for name, text in texts.items():
        setattr(copy, name, text)
    copy.save_revision().publish()
    return ModulePage.objects.get(pk=copy.pk)


@pytest.fixture
def translated(original):
    return in_language(original, "es", title="Plegar")


def titles(code):
    with translation.override(code):
        return [page.title for page in ModulePage.objects.in_language()]


def test_each_module_is_shown_once_in_the_language_or_as_the_original(house, original, translated):
    module_bodies.write_module(house.cutting, slug="whet", title="Whetting", body=BODY)
    assert titles("en") == ["Folding", "Whetting"]
    assert titles("es") == ["Plegar", "Whetting"]
    assert titles("ja") == ["Folding", "Whetting"]


def test_an_unpublished_translation_gives_way_to_the_original(original, translated):
    translated.unpublish()
    assert titles("es") == ["Folding"]


def test_an_unpublished_original_takes_its_translations_with_it(original, translated):
    original.unpublish()
    assert titles("es") == []


def test_a_translation_keeps_the_ids_of_blocks(original, translated):
    assert [raw["id"] for raw in translated.body.raw_data] == [
        raw["id"] for raw in original.body.raw_data
    ]
    assert translated.original_id == original.pk
    assert translated.original == original


def test_what_is_read_in_one_language_counts_in_all(house, original, translated):
    question = translated.block_ids("question")[0]
    with translation.override("es"):
        record_all_steps(house.cook, translated)
        record_answer(house.cook, translated, question, 0)
        record_answer(house.cook, translated, question, 1)
    progress = ModuleProgress.objects.get(person=house.cook)
    assert progress.module_id == original.pk
    assert progress.is_done
    assert reading_of(original, house.cook).is_done
    with translation.override("es"):
        lines = [line for station in module_list(house.cook) for line in station.modules]
    assert [(line.title, line.is_done) for line in lines] == [("Plegar", True)]


def test_a_missed_question_comes_back_in_the_language_that_is_read(house, original, translated):
    question = original.block_ids("question")[0]
    record_answer(house.cook, original, question, 0)
    row = house.cook.missed_questions.get()
    with translation.override("es"):
        again = again_today(house.cook, today=row.due_on)
    assert [line.page.title for line in again.lines] == ["Plegar"]


def test_causes_of_what_went_wrong_are_told_once(original, translated):
    with translation.override("es"):
        assert [cause.module for cause in causes_of("crease")] == ["Plegar"]


def test_what_is_no_text_is_that_of_the_original(house, original, translated):
    translated.required = False
    translated.save()
    assert ModulePage.objects.get(pk=translated.pk).required
    original.station = house.serving
    original.required = False
    original.save()
    translated.refresh_from_db()
    assert translated.station == house.serving
    assert not translated.required


def test_one_address_serves_all_languages(client, house, original, translated):
    client.force_login(house.cook)
    address = reverse("module", args=["folding"])
    assert "Folding" in client.get(address).text
    response = client.get(address, headers={"Accept-Language": "es"})
    assert "Plegar" in response.text
    assert '<html lang="es">' in response.text


def test_the_choice_of_a_person_wins_over_the_browser(client, house):
    client.force_login(house.cook)
    address = reverse("module_index")
    response = client.post(reverse("choose_language"), {"language": "ja", "next": address})
    assert response["Location"] == address
    assert User.objects.get(pk=house.cook.pk).language == "ja"
    response = client.get(address, headers={"Accept-Language": "es"})
    assert '<html lang="ja">' in response.text


@pytest.mark.parametrize("shown", ["en", "es", "ja"])
def test_each_language_is_called_by_its_own_name(client, db, shown):
    text = client.get(reverse("account_login"), headers={"Accept-Language": shown}).text
    # Names by the Unicode Common Locale Data Repository.
    for code, name in (("en", "English"), ("es", "Español"), ("ja", "日本語")):
        assert re.search(rf'value="{code}" lang="{code}"[^>]*>{name}<', text)


def test_the_choice_is_kept_before_signing_in(client, db):
    address = reverse("account_login")
    client.post(reverse("choose_language"), {"language": "es", "next": address})
    assert '<html lang="es">' in client.get(address).text


@pytest.mark.parametrize("target", ["https://elsewhere.example/", "//elsewhere.example", ""])
def test_the_choice_leads_nowhere_else(client, db, target):
    response = client.post(reverse("choose_language"), {"language": "es", "next": target})
    assert response["Location"] == "/"


def test_an_unknown_language_is_refused(client, house):
    client.force_login(house.cook)
    response = client.post(reverse("choose_language"), {"language": "eo", "next": "/"})
    assert "Choose one of the languages" in client.get(response["Location"]).text
    assert User.objects.get(pk=house.cook.pk).language == ""


def test_a_language_has_its_own_words_of_the_trade(db):
    word = Word.objects.create(term="brine", meaning="Salt in water.")
    Word.objects.create(term="hake", meaning="A brush.")
    locale = Locale.objects.create(language_code="es")
    told = word.copy_for_translation(locale)
    told.term = "salmuera"
    told.save()
    with translation.override("es"):
        assert [one.term for one in Word.objects.in_language()] == ["hake", "salmuera"]
    with translation.override("en"):
        assert [one.term for one in Word.objects.in_language()] == ["brine", "hake"]


def test_editors_may_write_in_every_language(original, translated):
    index = ModuleIndexPage.objects.get(locale__language_code="es")
    of_original = GroupPagePermission.objects.filter(page=original.get_parent())
    of_index = GroupPagePermission.objects.filter(page=index)
    pairs = of_index.values_list("group", "permission")
    assert set(pairs) == set(of_original.values_list("group", "permission"))
    assert len(pairs) > 0


def test_the_curriculum_is_loaded_in_other_languages(db):
    load_curriculum(languages=["es"])
    module = MODULES[0]
    pages = ModulePage.objects.filter(locale__language_code="es")
    assert pages.count() == len(MODULES)
    page = pages.get(slug=module.slug)
    assert page.title == text_in("es", module.slug, module.title) != module.title
    original = page.original
    assert [raw["id"] for raw in page.body.raw_data] == [
        raw["id"] for raw in original.body.raw_data
    ]
    first = next(raw["value"] for raw in page.body.raw_data if raw["type"] == "step")
    assert first["do"] == text_in("es", module.slug, module.steps[0].do) != module.steps[0].do
    titles = {raw["value"]["title"] for raw in page.body.raw_data if raw["type"] == "step"}
    begun_at = {raw["value"]["step"] for raw in page.body.raw_data if raw["type"] == "fault"} - {""}
    assert begun_at <= titles
    assert set(Word.objects.filter(locale__language_code="es").values_list("term", flat=True)) >= {
        "salmuera"
    }


def test_what_a_house_has_changed_is_not_translated_back(db):
    load_curriculum()
    slug = MODULES[0].slug
    page = ModulePage.objects.get(slug=slug)
    number, raw = next(
        (n, raw) for n, raw in enumerate(page.body.raw_data) if raw["type"] == "step"
    )
    page.body.raw_data[number] = raw | {"value": raw["value"] | {"do": "Ask Bramo first."}}
    page.save()
    locale = Locale.objects.create(language_code="es")
    translate_pages(locale)
    told = ModulePage.objects.get(slug=slug, locale=locale)
    value = told.body.raw_data[number]["value"]
    assert value["do"] == "Ask Bramo first."
    assert value["title"] == text_in("es", slug, raw["value"]["title"])


def test_loading_again_adds_nothing(db):
    load_curriculum(languages=["es"])
    count = ModulePage.objects.count(), Word.objects.count()
    assert load_curriculum(languages=["es"]) == []
    assert (ModulePage.objects.count(), Word.objects.count()) == count


def test_the_answers_of_a_question_are_told_in_their_order():
    module = MODULES[0]
    question = module.questions[0]
    answers = [
        {"type": "item", "value": {"text": one.text, "correct": one.correct}, "id": str(n)}
        for n, one in enumerate(question.answers)
    ]
    value = {"prompt": question.prompt, "why": question.why, "answers": answers}
    told = value_in("ja", module.slug, "question", value)
    assert [one["value"]["correct"] for one in told["answers"]] == [
        one.correct for one in question.answers
    ]
    assert [one["value"]["text"] for one in told["answers"]] == [
        text_in("ja", module.slug, one.text) for one in question.answers
    ]
    assert value["answers"] == answers


def test_a_language_without_a_catalogue_stays_english():
    assert text_in("eo", MODULES[0].slug, MODULES[0].title) == MODULES[0].title


def test_a_missing_translation_is_a_problem(settings):
    assert missing_translations() == []
    settings.LANGUAGES = [("en", "English"), ("eo", "Esperanto")]
    problems = missing_translations()
    assert len(problems) == len(set(all_texts()))
    assert "not translated into “eo”" in str(problems[0])


@pytest.mark.parametrize("code", other_languages())
def test_translations_keep_the_numbers_of_the_house(code):
    for context, text in all_texts():
        told = text_in(code, context, text)
        assert sorted(PLACEHOLDER.findall(told)) == sorted(PLACEHOLDER.findall(text)), text


CATALOGUES = sorted(
    path for folder in settings.LOCALE_PATHS for path in Path(folder).glob("*/LC_MESSAGES/*.po")
)


def test_every_language_has_its_catalogues():
    assert [path for path in CATALOGUES if path.parts[-3] == "ja"] != []
    assert {path.parts[-3] for path in CATALOGUES} == set(other_languages())
    assert len(CATALOGUES) == 3 * len(other_languages())


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: "/".join(path.parts[-4:]))
def test_a_catalogue_is_whole_and_compiled(path):
    """What is read at run time (.mo) is what stands in the text beside it (.po)."""
    with path.with_suffix(".mo").open("rb") as file:
        compiled = GNUTranslations(file)
    messages = [message for message in read_po(BytesIO(path.read_bytes())) if message.id]
    assert messages
    for message in messages:
        assert "fuzzy" not in message.flags, message.id
        if isinstance(message.id, str):
            context = message.context
            told = (
                compiled.pgettext(context, message.id) if context else compiled.gettext(message.id)
            )
            assert message.string, message.id
            assert told == message.string
        else:
            told = [compiled.ngettext(*message.id, n) for n in (1, 2)]
            assert all(message.string), message.id
            assert told == [message.string[0], message.string[-1]]


@pytest.mark.parametrize(("code", "word"), [("en", "Modules"), ("es", "Módulos"), ("ja", "単元")])
def test_the_interface_speaks_each_language(client, house, code, word):
    """One text for each catalogue proves that it is found and read."""
    client.force_login(house.cook)
    text = client.get(reverse("module_index"), headers={"Accept-Language": code}).text
    assert f"<h1>{word}</h1>" in text


@pytest.mark.parametrize(
    ("folder", "domain", "texts"),
    list(catalogues()),
    ids=lambda value: value.parent.name if isinstance(value, Path) else None,
)
def test_catalogues_are_up_to_date(folder, domain, texts, tmp_path):
    """Writing them anew changes nothing: no text is missing or left over."""
    before = {}
    for path in folder.glob(f"*/*/{domain}.po"):
        copy = tmp_path / path.relative_to(folder)
        copy.parent.mkdir(parents=True)
        copy.write_bytes(path.read_bytes())
        before[copy] = path.read_bytes()
    assert len(before) == len(other_languages())
    write_catalogues([(tmp_path, domain, texts)])
    assert {path: path.read_bytes() for path in before} == before


def test_the_command_loads_what_a_house_lacks(db, capsys):
    call_command("curriculum", load=True)
    assert ModulePage.objects.count() == len(MODULES) * (1 + len(other_languages()))
    assert f"{ModulePage.objects.count()} pages are new" in capsys.readouterr().out
