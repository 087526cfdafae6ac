"""The command that writes the measuring card."""

from pathlib import Path

import pypdfium2
import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from assessments.charts import card_pdf


def pages_of(path):
    with pypdfium2.PdfDocument(path) as document:
        return [tuple(round(points) for points in page.get_size()) for page in document]


@pytest.mark.parametrize(
    ("options", "points"),
    [
        ([], (842, 595)),
        (["--paper", "a4"], (842, 595)),
        (["--paper", "letter"], (792, 612)),
        (["--paper", "letter", "--language", "en"], (792, 612)),
    ],
)
def test_writes_the_card(tmp_path, capsys, options, points):
    out = tmp_path / "card.pdf"
    call_command("measuring_card", str(out), *options)
    assert pages_of(out) == [points, points]
    said = capsys.readouterr().out
    assert str(out) in said
    assert "100 mm" in said


def test_writes_over_a_file(tmp_path):
    out = tmp_path / "card.pdf"
    out.write_text("an older card")
    call_command("measuring_card", str(out))
    assert len(pages_of(out)) == 2


def refusal(*arguments):
    with pytest.raises(CommandError) as refused:
        call_command("measuring_card", *map(str, arguments))
    return str(refused.value)


def test_a_folder_that_is_not_there(tmp_path):
    assert refusal(tmp_path / "prints" / "card.pdf") == (
        f"There is no folder {tmp_path / 'prints'}. Make it first, or name another."
    )
    assert not (tmp_path / "prints").exists()


def test_a_folder_instead_of_a_file(tmp_path):
    assert f"such as {tmp_path / 'card.pdf'}" in refusal(tmp_path)


def test_a_file_where_a_folder_should_be(tmp_path):
    (tmp_path / "prints").write_text("")
    assert "cannot be written: Not a directory." in refusal(tmp_path / "prints" / "card.pdf")


def test_a_name_that_is_too_long(tmp_path):
    assert "cannot be written: File name too long." in refusal(tmp_path / f"{'card' * 100}.pdf")


def test_a_place_that_may_not_be_written(tmp_path, monkeypatch):
    def forbidden(self, data):
        raise PermissionError(13, "Permission denied")

    # By hand: who runs tests as the superuser may write everywhere.
    monkeypatch.setattr(Path, "write_bytes", forbidden)
    assert "cannot be written: Permission denied." in refusal(tmp_path / "card.pdf")


@pytest.mark.parametrize("options", [["--paper", "a3"], ["--language", "xx"]])
def test_what_there_is_to_choose_from(tmp_path, options):
    assert "choose from" in refusal(tmp_path / "card.pdf", *options)


def test_a_font_that_cannot_be_read(tmp_path):
    font = tmp_path / "notes.ttf"
    font.write_text("flour, water, salt")
    out = tmp_path / "card.pdf"
    assert f"{font} cannot be read as a font" in refusal(out, "--font", font)
    assert not out.exists()


def test_a_language_that_the_font_cannot_write(tmp_path, monkeypatch):
    monkeypatch.setattr(card_pdf, "CAUTION", "生の小麦粉")
    message = refusal(tmp_path / "card.pdf")
    assert all(letter in message for letter in "生の小麦粉")
    assert "--font" in message
