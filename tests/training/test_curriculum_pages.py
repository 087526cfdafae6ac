"""The modules that come with the site, as pages."""

from dataclasses import replace

import pytest

from training.blocks import ModuleBody
from training.curriculum import MODULES
from training.curriculum.stations import STATIONS
from training.curriculum_pages import is_required, load_curriculum
from training.models import ModulePage, Station


@pytest.fixture
def pages(db):
    return load_curriculum()


def test_every_module_becomes_a_published_page(pages):
    assert [page.slug for page in pages] == [module.slug for module in MODULES]
    assert all(page.live for page in pages)
    assert [page.station.slug for page in pages] == [module.station_slug for module in MODULES]
    assert Station.objects.count() == len(STATIONS)


def test_what_is_read_first_and_what_a_sign_off_asks_for(pages):
    cutting = Station.objects.get(slug="cutting")
    assert "folding-and-cutting" in cutting.read_first.values_list("slug", flat=True)
    assert ModulePage.objects.get(slug="folding-and-cutting").required
    assert not is_required(replace(MODULES[0], slug="ribbon-noodles"))
    assert not is_required(replace(MODULES[0], station_slug="head-chef"))


@pytest.mark.parametrize("station", STATIONS, ids=lambda station: station.slug)
def test_the_order_of_learning_is_that_of_the_modules(station):
    """What is read first at a station comes before its other modules in the list too."""
    own = [module.slug for module in MODULES if module.station_slug == station.slug]
    first = [slug for slug in own if slug in station.read_first]
    assert [slug for slug in station.read_first if slug in own] == first


def test_a_house_keeps_its_own_order_of_learning(pages):
    cutting = Station.objects.get(slug="cutting")
    cutting.read_first.clear()
    load_curriculum()
    assert not cutting.read_first.exists()


def test_nothing_of_a_module_is_lost(pages):
    for module in MODULES:
        page = ModulePage.objects.get(slug=module.slug)
        assert [block.block_type for block in page.body] == [
            block.block_type for block in module.body
        ]
        first = next(block for block in page.body if block.block_type == "step")
        assert first.value["do"] == module.steps[0].do
        assert first.value["drawing"] == module.steps[0].drawing
        assert first.value["picture_alt"] == module.steps[0].drawing_alt


def test_an_editor_could_publish_each_as_it_is(pages):
    for page in pages:
        ModuleBody().clean(ModulePage.objects.get(pk=page.pk).body)


def test_a_page_that_is_there_is_left_as_it_is(pages):
    page = pages[0]
    page.title = "Our own way"
    page.save()
    assert load_curriculum() == []
    assert ModulePage.objects.get(pk=page.pk).title == "Our own way"


def test_each_page_opens(pages, house, client):
    client.force_login(house.cook)
    for page in pages:
        assert client.get(page.address).status_code == 200
