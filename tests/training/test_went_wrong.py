"""From what one sees to the likely causes, each with its step."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from tests import factories
from tests.training import module_bodies
from training.blocks import ModuleBody
from training.curriculum.faults import TAGS
from training.curriculum_pages import load_curriculum
from training.signs import LIKELY, SIGNS
from training.went_wrong import causes_of, signs


def fault(cause, likely="sometimes", sign="crease", **fields):
    return module_bodies.fault(cause=cause, likely=likely, signs=[sign], **fields)


def test_likelier_causes_come_first_then_the_order_of_work(house):
    mixing = factories.StationFactory(name="mixing", slug="mixing", position=1)
    faults = [fault("rare", "seldom"), fault("second"), fault("usual", "often")]
    module_bodies.write_module(house.cutting, body=[module_bodies.step(), *faults])
    module_bodies.write_module(mixing, slug="mix", body=[module_bodies.step(), fault("first")])
    assert [one.cause for one in causes_of("crease")] == ["usual", "first", "second", "rare"]
    assert [(one.slug, one.causes) for one in signs()] == [("crease", 4)]


def test_a_cause_leads_to_its_step_and_to_its_fault(house, reader):
    body = [
        module_bodies.step(drawing="cut-dust"),
        module_bodies.step("Turn it"),
        fault("haste", step="Turn it", drawing="fault-drift", picture_alt="Strands."),
    ]
    module = module_bodies.write_module(house.cutting, body=body)
    (cause,) = causes_of("crease")
    assert cause.step_url == f"{module.address}#cut-fold"
    assert cause.url == f"{module.address}#fault-drift"
    # The addresses are those of the page itself.
    text = reader.get(module.address).content.decode()
    assert 'id="cut-fold"' in text
    assert 'id="fault-drift"' in text
    page = reader.get(reverse("went_wrong_sign", args=["crease"])).content.decode()
    assert f'href="{cause.step_url}"' in page
    assert "The step: Turn it" in page


def test_a_step_that_was_taken_out_leaves_the_way_to_the_fault(house):
    body = [module_bodies.step(), fault("haste", step="Gone")]
    module_bodies.write_module(house.cutting, body=body)
    (cause,) = causes_of("crease")
    assert (cause.step, cause.step_url) == ("", "")


def test_numbers_of_the_house_stand_in_the_remedy(house, reader):
    body = [module_bodies.step(), fault("haste", remedy="Cut to {{width}}.")]
    module_bodies.write_module(house.cutting, body=body)
    page = reader.get(reverse("went_wrong_sign", args=["crease"])).content.decode()
    assert "Cut to <strong" in page
    assert "3.2 mm" in page


def test_a_module_that_is_not_published_is_no_cause(house):
    module_bodies.write_module(house.cutting, body=[module_bodies.step(), fault("x")]).unpublish()
    assert causes_of("crease") == []
    assert signs() == []


def test_faults_written_before_there_were_signs_do_no_harm(house):
    kind, value = module_bodies.fault()
    for name in ("signs", "likely", "step"):
        del value[name]
    module_bodies.write_module(house.cutting, body=[module_bodies.step(), (kind, value)])
    assert signs() == []


def test_an_unknown_sign_is_not_found(reader):
    assert reader.get(reverse("went_wrong_sign", args=["moon"])).status_code == 404


def test_a_sign_without_causes_says_whom_to_ask(reader):
    text = reader.get(reverse("went_wrong_sign", args=["crease"])).content.decode()
    assert "Ask your head chef" in text
    assert "No module names a fault" in reader.get(reverse("went_wrong")).content.decode()


def test_an_editor_names_a_step_that_is_there():
    body = ModuleBody().normalize([module_bodies.step(), fault("x", step="Fold them")])
    with pytest.raises(ValidationError) as caught:
        ModuleBody().clean(body)
    assert list(caught.value.block_errors[1].block_errors) == ["step"]
    assert len(ModuleBody().clean_deferred(body)) == 2


def test_every_sign_is_the_sign_of_something_and_has_a_usual_cause_or_several():
    found = {sign for tags in TAGS.values() for tag in tags.values() for sign in tag.signs}
    assert found == set(SIGNS)
    assert {tag.likely for tags in TAGS.values() for tag in tags.values()} == set(LIKELY)


def test_modules_that_come_with_the_site_are_found_and_lead_to_steps(db):
    load_curriculum()
    causes = causes_of("uneven-width")
    assert "The beat limps." in causes[0].cause
    assert all(cause.step_url for sign in signs() for cause in causes_of(sign.slug))
