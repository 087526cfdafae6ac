"""The command that counts the modules and fails where something is missing."""

from dataclasses import replace
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.training import module_bodies
from training.curriculum import MODULES
from training.management.commands import curriculum


def run(**options):
    out = StringIO()
    call_command("curriculum", stdout=out, **options)
    return out.getvalue().splitlines()


def test_table_has_a_line_for_each_module_and_one_for_all():
    lines = run()
    assert [line.split()[0] for line in lines[1:-1]] == [module.slug for module in MODULES]
    steps = sum(len(module.steps) for module in MODULES)
    assert lines[-1].split()[:3] == [str(len(MODULES)), "modules", str(steps)]


def test_it_fails_and_names_each_place(monkeypatch):
    broken = replace(MODULES[0], source_note="", body=(replace(MODULES[0].steps[0], drawing=""),))
    monkeypatch.setattr(curriculum, "MODULES", (broken,))
    with pytest.raises(CommandError) as caught:
        run()
    assert caught.value.returncode == 1
    assert str(caught.value).splitlines() == [
        "2 to mend:",
        f"{broken.slug}: step 1: a step without a drawing",
        f"{broken.slug}: no source note",
    ]


def test_it_fails_on_a_missing_translation(settings):
    settings.LANGUAGES = [("en", "English"), ("tlh", "Klingon")]
    with pytest.raises(CommandError, match="not translated into “tlh”"):
        run()


def test_pages_of_the_house_can_be_looked_at(db, house):
    module_bodies.write_module(house.cutting, body=[module_bodies.step(do="Roll it to 3 mm.")])
    with pytest.raises(CommandError, match="folding: step 1, do: “3 mm” is typed"):
        run(pages=True)
