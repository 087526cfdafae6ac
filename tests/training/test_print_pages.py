"""A module for the wall, QR labels that open the right module, and the sheet of all drawings."""

import re

import cv2
import numpy as np
import pytest
from django.urls import reverse

from tests import factories
from tests.training import module_bodies
from training.blocks import drawings
from training.qr import qr_code


def read_code(size, path, scale=8):
    """Return what a reader sees in a code drawn from our path: OpenCV's, which is not ours."""
    picture = np.full((size * scale, size * scale), 255, np.uint8)
    for x, y, width in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", path):
        left, top, right = int(x) * scale, int(y) * scale, (int(x) + int(width)) * scale
        picture[top : top + scale, left:right] = 0
    text, _corners, _straight = cv2.QRCodeDetector().detectAndDecode(picture)
    return text


def codes_of(text):
    """Return what the codes of a page say, in order."""
    found = re.findall(r'viewBox="0 0 (\d+) \1" role="img".*?class="dark" d="([^"]+)"', text)
    return [read_code(int(size), path) for size, path in found]


@pytest.mark.parametrize(
    "text", ["http://testserver/modules/folding/", "https://noodles.example/modules/" + "x" * 60]
)
def test_code_is_read_by_another_program(text):
    code = qr_code(text)
    assert read_code(code.size, code.path) == text


def test_code_keeps_the_quiet_zone():
    """ISO/IEC 18004 asks for four light modules on each side."""
    code = qr_code("x")
    xs = [int(x) for x in re.findall(r"M(\d+) ", code.path)]
    ys = [int(y) for y in re.findall(r"M\d+ (\d+)", code.path)]
    ends = [int(x) + int(w) for x, w in re.findall(r"M(\d+) \d+h(\d+)", code.path)]
    assert min(xs) == min(ys) == 4
    assert max(ends) == max(ys) + 1 == code.size - 4


@pytest.fixture
def module(house):
    body = [
        ("numbers", {"names": ["width"]}),
        ("numbers", {"names": ["width", "portion"]}),
        module_bodies.step(),
        ("caution", {"kind": "warm_food", "text": "Keep it hot: {{safe_hot_holding}}."}),
        module_bodies.fault(remedy="Cut to {{width}}."),
        module_bodies.question(),
    ]
    return module_bodies.write_module(house.cutting, body=body)


def test_wall_shows_steps_cautions_faults_and_numbers_but_no_questions(client, house, module):
    client.force_login(house.cook)
    text = client.get(reverse("wall", args=[module.slug])).content.decode()
    assert "1. Fold it" in text
    assert "57 °C" in text
    assert "Cut to <strong" in text
    assert text.count("Strand width:") == 1
    assert "Dough for one portion: <strong>150 g</strong>" in text
    assert "The fold cracks" not in text
    assert "version 1" in text
    assert codes_of(text) == [f"http://testserver{module.address}"]


def test_wall_records_nothing(client, house, module):
    client.force_login(house.cook)
    client.get(reverse("wall", args=[module.slug]))
    assert not house.cook.steps_read.exists()
    assert not house.cook.module_progress.exists()


def test_wall_of_another_style(client, house, module):
    other = factories.StandardFactory(portion_g=99)
    client.force_login(house.cook)
    path = reverse("wall", args=[module.slug])
    assert "99 g" in client.get(path, {"style": other.style.slug}).content.decode()


def test_wall_of_an_unpublished_module_is_not_found(client, house, module):
    module.unpublish()
    client.force_login(house.cook)
    assert client.get(reverse("wall", args=[module.slug])).status_code == 404


def test_labels_open_their_modules(client, house, module):
    second = module_bodies.write_module(house.serving, slug="serving-it")
    client.force_login(house.chef)
    text = client.get(reverse("labels")).content.decode()
    assert codes_of(text) == [f"http://testserver{one.address}" for one in (module, second)]
    for address in codes_of(text):
        assert client.get(address).status_code == 200


def test_contact_sheet_shows_every_drawing_and_where_it_is_used(client, house, module):
    client.force_login(house.editor)
    text = client.get(reverse("contact_sheet")).content.decode()
    shown = re.findall(r"illustrations/([\w-]+)\.svg", text)
    assert shown == [name for name, _label in drawings()]
    used = text[text.index("cut-fold.svg") :].split("</li>")[0]
    assert "Folding" in used
    assert 'alt="Two hands fold a sheet."' in used
    assert "in no module" in text
