"""Make pages of the technique modules that come with the site."""

from django.db import transaction
from wagtail.models import Locale

from training.catalogues import WORD_CONTEXT, text_in, value_in
from training.curriculum import MODULES
from training.curriculum.faults import tag_of
from training.curriculum.stations import NOT_REQUIRED, STATIONS
from training.curriculum.words import WORDS
from training.curriculum_values import value_of
from training.groups import create_index_page
from training.models import ModuleIndexPage, ModulePage, Station, Word


@transaction.atomic
def load_curriculum(*, by=None, languages=()):
    """Publish every module of the curriculum that has no page yet; return the new pages.

    A page that is there is left as it is: the house may have changed it. Stations are found by
    their short name and made where they are missing; a new page takes its place among what is read
    first there. ``languages`` are the codes of those to translate into as well.
    """
    index = ModuleIndexPage.objects.get(pk=create_index_page().pk)
    there = set(ModulePage.objects.values_list("slug", flat=True))
    stations = load_stations()
    words = load_words()
    pages = []
    for module in MODULES:
        if module.slug in there:
            continue
        page = ModulePage(
            title=module.title,
            slug=module.slug,
            station=stations[module.station_slug],
            required=is_required(module),
            summary=module.summary,
            minutes_to_read=module.minutes_to_read,
            source_note=module.source_note,
            body=body_of(module),
        )
        index.add_child(instance=page)
        page.save_revision(user=by, log_action=True).publish(user=by)
        pages.append(page)
    for station in STATIONS:
        first = [page for page in pages if page.slug in station.read_first]
        stations[station.slug].read_first.add(*first)
    for code in languages:
        locale, _created = Locale.objects.get_or_create(language_code=code)
        translate_words(words, locale)
        translate_pages(locale, by=by)
    return pages


def translate_pages(locale, *, by=None):
    """Publish every module of the curriculum that has no page yet in the language of ``locale``.

    It is the page of the house that is translated: a text that the house has changed since has no
    translation here, and stays as it is until an editor writes one.
    """
    originals = ModulePage.objects.originals().live().order_by("path")
    done = ModulePage.objects.filter(locale=locale).values("translation_key")
    slugs = [module.slug for module in MODULES]
    for original in originals.filter(slug__in=slugs).exclude(translation_key__in=done):
        page = original.copy_for_translation(locale, copy_parents=True)
        code, context = locale.language_code, original.slug
        for name in ("title", "summary", "source_note"):
            setattr(page, name, text_in(code, context, getattr(original, name)))
        page.draft_title = page.title
        # The same ids: what is read and answered counts whatever the language.
        page.body = [
            raw | {"value": value_in(code, context, raw["type"], raw["value"])}
            for raw in original.body.raw_data
        ]
        revision = page.save_revision(user=by, log_action=True)
        # Wagtail remembers what a person may do, also from before this language was there.
        revision.publish(user=by, skip_permission_checks=True)


def is_required(module):
    """Return whether a sign-off asks for a module of the curriculum."""
    practised = {station.slug for station in STATIONS if station.practised}
    return module.station_slug in practised and module.slug not in NOT_REQUIRED


def load_stations():
    """Make every station that is missing; return all of the curriculum by their short names."""
    return {
        station.slug: Station.objects.get_or_create(
            slug=station.slug,
            defaults={
                "name": station.name,
                "measured": station.measured,
                "practised": station.practised,
                "position": position,
            },
        )[0]
        for position, station in enumerate(STATIONS, start=1)
    }


def load_words():
    """Write down every word of the trade that the house does not have yet; return all of them."""
    return [
        Word.objects.get_or_create(
            term=word.term,
            locale=Locale.get_default(),
            defaults={"script": word.script, "reading": word.reading, "meaning": word.meaning},
        )[0]
        for word in WORDS
    ]


def translate_words(words, locale):
    """Write down each of ``words`` in the language of ``locale`` where it is not there yet."""
    done = set(Word.objects.filter(locale=locale).values_list("translation_key", flat=True))
    for word in words:
        if word.translation_key not in done:
            translated = word.copy_for_translation(locale)
            for name in ("term", "reading", "meaning"):
                text = text_in(locale.language_code, WORD_CONTEXT, getattr(word, name))
                setattr(translated, name, text)
            translated.save()


def body_of(module):
    """Return the body of a module of the curriculum as the page's stream holds it."""
    titles = {step.drawing: step.title for step in module.steps}
    body = []
    for block in module.body:
        value = value_of(block)
        tag = tag_of(module.slug, block) if block.block_type == "fault" else None
        if tag:
            value |= {"signs": list(tag.signs), "likely": tag.likely, "step": titles[tag.step]}
        body.append((block.block_type, value))
    return body
