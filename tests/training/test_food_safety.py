"""Food-safety figures: each region's own, with its source, live in the text of a module."""

from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from django.template.loader import get_template

from tests.training import module_bodies
from training.food_safety import FIGURES, LABELS, Region
from training.models import HousePolicy
from training.numbers import KEYS, safety_numbers, unknown_keys
from training.summaries import shown_standard

US, UK_EU, JAPAN = Region.US, Region.UK_EU, Region.JAPAN


@pytest.mark.parametrize("region", Region)
def test_every_region_has_every_figure_with_its_source(region):
    assert set(FIGURES[region]) == set(LABELS)
    for figure in FIGURES[region].values():
        assert str(figure.source)
        assert not str(figure.text).endswith("."), "the sentence around it has the full stop"


@pytest.mark.parametrize(
    ("region", "key", "parts"),
    [
        # US Food Code 2022, 3-501.16, 3-501.14, 3-403.11, 3-501.19, 3-501.17, 2-301.12.
        (US, "safe_cold_holding", ["5 °C", "41 °F"]),
        (US, "safe_hot_holding", ["57 °C", "135 °F"]),
        (US, "safe_cooling_steps", ["57 to 21 °C", "2 hours", "5 °C", "6 hours"]),
        (US, "safe_reheat", ["74 °C", "15 seconds", "2 hours"]),
        (US, "safe_room_time", ["4 hours"]),
        (US, "safe_keep_days", ["7 days", "5 °C"]),
        (US, "safe_handwash", ["20 seconds"]),
        # Food Safety and Hygiene (England) Regulations 2013, Schedule 4.
        (UK_EU, "safe_cold_holding", ["8 °C", "5 °C"]),
        (UK_EU, "safe_hot_holding", ["63 °C"]),
        (UK_EU, "safe_room_time", ["4 hours", "2 hours"]),
        # Guidance, not law.
        (UK_EU, "safe_cooling_steps", ["90 minutes"]),
        # Ministry of Health, Labour and Welfare, manual for large-scale cooking facilities.
        (JAPAN, "safe_cold_holding", ["10 °C"]),
        (JAPAN, "safe_hot_holding", ["65 °C"]),
        (JAPAN, "safe_cooling_steps", ["20 °C", "30 minutes", "10 °C", "60 minutes"]),
        (JAPAN, "safe_cook", ["75 °C", "1 minute", "85 to 90 °C", "90 seconds"]),
    ],
)
def test_figures_are_those_of_their_source(region, key, parts):
    text = str(FIGURES[region][key].text)
    assert [part for part in parts if part not in text] == []


def test_figures_of_a_region_as_numbers():
    numbers = safety_numbers(JAPAN)
    assert numbers["safe_hot_holding"].text == "65 °C or hotter"
    assert numbers["safe_hot_holding"].label == "Keeping hot"


def test_keys_of_food_safety_are_known_and_listed_for_editors():
    assert unknown_keys("{{safe_hot_holding}} {{safe_hot}}") == ["safe_hot"]
    help_text = Path(get_template("training/admin/_writing_help.html").origin.name).read_text()
    assert [key for key in KEYS if f"{{{{{key}}}}}" not in help_text] == []


BODY = [
    module_bodies.step(do="Keep the stock hot: {{safe_hot_holding}}."),
    ("caution", {"kind": "warm_food", "text": "Chill it: {{safe_cooling_steps}}."}),
    module_bodies.fault(remedy="Heat it: {{safe_reheat}}."),
    module_bodies.question(prompt="The stock stood out. How long may it? {{safe_room_time}}?"),
]


def choose(region):
    policy = HousePolicy.load()
    policy.food_safety_region = region
    policy.save()


@pytest.mark.parametrize(
    ("region", "shown", "source"),
    [
        (US, "57 °C (135 °F) or hotter", "US Food Code 2022, 3-501.16"),
        (UK_EU, "63 °C or hotter", "Schedule 4"),
        (JAPAN, "65 °C or hotter", "large-scale cooking facilities"),
    ],
)
def test_a_module_shows_the_figures_of_the_region_chosen(client, house, region, shown, source):
    choose(region)
    page = module_bodies.write_module(house.cutting, body=BODY)
    client.force_login(house.cook)
    text = client.get(page.address).content.decode()
    assert f'Keep the stock hot: <strong class="number">{shown}</strong>.' in text
    end = text[text.index('id="end"') :]
    assert f"<dd>{shown}. <cite>" in end
    assert source in end
    assert "Your local authority decides" in end
    assert "{{" not in text
    # What the text does not name is not listed.
    assert "Keeping cold" not in end


def test_figures_from_memory_say_so(client, house):
    choose(JAPAN)
    page = module_bodies.write_module(house.cutting, body=BODY)
    client.force_login(house.cook)
    end = client.get(page.address).content.decode()
    assert end.count("written down from memory") == 1, "the 2 hours after cooking"


def test_figures_need_no_house_standard(db):
    """A house that has no standard yet may still not serve stock that stood warm."""
    choose(UK_EU)
    assert shown_standard(None).numbers["safe_hot_holding"].text == "63 °C or hotter"


def test_a_region_that_is_none_is_refused(house):
    policy = HousePolicy.load()
    policy.food_safety_region = "moon"
    with pytest.raises(ValidationError) as caught:
        policy.full_clean()
    assert "food_safety_region" in caught.value.message_dict
