"""The command that reads a file of readings."""

from pathlib import Path

import pytest
import time_machine
from django.core.management import call_command
from django.core.management.base import CommandError

from assessments.models import Batch, Event, Instrument, ReadingSet
from tests import factories
from training.models import Branch, User

READINGS = Path(__file__).parents[1] / "readings"


@pytest.fixture(autouse=True)
def _day():
    with time_machine.travel("2026-05-01T09:00:00Z"):
        yield


def run(capsys, *arguments):
    """Return the exit code and what was printed."""
    code = 0
    try:
        call_command("import_readings", *map(str, arguments))
    except SystemExit as stop:
        code = stop.code
    return code, capsys.readouterr().out


def test_a_file_without_a_cook_is_kept_under_its_name(house, capsys):
    code, printed = run(capsys, READINGS / "first.csv")
    assert code == 0
    person = User.objects.get(username="import-first")
    assert (str(person), person.is_active, person.has_usable_password()) == (
        "Readings first",
        False,
        False,
    )
    assert not person.roles.exists()
    assert set(Batch.objects.values_list("cook", "branch")) == {(person.pk, house.branch.pk)}
    assert "No cook was named" in printed
    line = next(line for line in printed.splitlines() if line.startswith("first-03"))
    assert line.split() == [
        *("first-03", "2026-03-07", "0.931232", "12.291", "1.000000", "20.000", "93.123", "new")
    ]
    assert (
        "Balances after the last batch of thick wheat: width 100.000, thickness 100.000" in printed
    )
    assert "261 rows read: 261 kept, 0 refused, 0 already there, 0 held back." in printed
    assert "takes it as nothing: caliper." in printed


def test_reading_the_file_again_adds_nothing(house, capsys):
    run(capsys, READINGS / "first.csv")
    counts = [model.objects.count() for model in (Batch, ReadingSet, Event, Instrument, User)]
    code, printed = run(capsys, READINGS / "first.csv")
    assert code == 0
    assert "261 rows read: 0 kept, 0 refused, 261 already there, 0 held back." in printed
    now = [model.objects.count() for model in (Batch, ReadingSet, Event, Instrument, User)]
    assert now == counts


def test_a_faulty_file_keeps_nothing_unless_asked(house, capsys):
    code, printed = run(capsys, READINGS / "faulty.csv")
    assert code == 1
    refusals = [line for line in printed.splitlines() if line.startswith("line ")]
    assert len(refusals) == 8
    assert refusals[0].startswith("line 31: The unit is “cm”")
    assert "37 rows read: 0 kept, 8 refused, 0 already there, 29 held back." in printed
    assert "read it with --keep-good" in printed
    assert not Batch.objects.exists()
    assert not User.objects.filter(username="import-faulty").exists()


def test_good_rows_of_a_faulty_file_are_kept_when_asked(house, capsys):
    code, printed = run(capsys, READINGS / "faulty.csv", "--keep-good")
    assert code == 1
    assert "37 rows read: 29 kept, 8 refused, 0 already there, 0 held back." in printed
    assert Batch.objects.get().score.score == pytest.approx(99.893, abs=1e-3)


def test_a_named_cook_gets_the_batches(house, capsys):
    code, printed = run(capsys, READINGS / "first.csv", "--cook", "cook", "--by", "chef")
    assert (code, "No cook was named" in printed) == (0, False)
    batch = Batch.objects.first()
    assert (batch.cook, batch.opened_by, batch.branch) == (house.cook, house.chef, house.branch)
    house.practice.refresh_from_db()
    assert house.practice.counted == 9


def test_styles_that_are_missing_are_named(house, capsys):
    code, printed = run(capsys, READINGS / "second.csv")
    assert code == 1
    assert "The house has no style of this name: thin buckwheat" in printed
    assert "ask an editor to add it with a house standard" in printed


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["missing.csv"], "cannot be read: No such file"),
        ([READINGS], "cannot be read: Is a directory"),
        ([READINGS / "first.csv", "--cook", "nobody"], "Nobody signs in as “nobody”"),
        ([READINGS / "first.csv", "--cook", "owner"], "is a trainee of no branch"),
        ([READINGS / "first.csv", "--cook", "cook", "--by", "other-chef"], "may not bring in"),
        ([READINGS / "first.csv", "--by", "nobody"], "Nobody signs in as “nobody”"),
        ([READINGS / "README.md"], "The first line must name each column once: batch, date"),
    ],
)
def test_what_cannot_be_done_is_said(house, arguments, message):
    with pytest.raises(CommandError, match=message):
        call_command("import_readings", *map(str, arguments))
    assert not User.objects.filter(username__startswith="import-").exists()


def test_a_file_that_is_too_large_is_not_read(house, tmp_path):
    path = tmp_path / "large.csv"
    with path.open("wb") as file:
        file.truncate(5_000_001)
    with pytest.raises(CommandError, match=r"has 5.1 MB. At most 5 MB"):
        call_command("import_readings", str(path))


def test_somebodys_sign_in_name_is_not_taken(house):
    factories.UserFactory(username="import-first")
    with pytest.raises(CommandError, match="somebody's sign-in name"):
        call_command("import_readings", str(READINGS / "first.csv"))


def test_a_house_without_a_branch_says_what_to_do(db):
    assert not Branch.objects.exists()
    with pytest.raises(CommandError, match="no branch yet"):
        call_command("import_readings", str(READINGS / "first.csv"))
