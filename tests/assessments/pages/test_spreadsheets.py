"""Files for a spreadsheet."""

import pytest

from assessments.pages.spreadsheets import csv_response, plain_cell


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r"])
def test_a_cell_that_a_spreadsheet_would_compute_becomes_text(sign):
    # Common practice against formulas in files that a spreadsheet opens (OWASP, CSV injection).
    assert plain_cell(f"{sign}1+1") == f"'{sign}1+1"


@pytest.mark.parametrize("cell", ["thick wheat", "", "3.20", "a=b", 3, -3, None])
def test_other_cells_stay_as_they_are(cell):
    assert plain_cell(cell) == cell


def test_the_file_begins_with_the_mark_of_utf8_and_quotes_commas():
    response = csv_response([("día", 'a "b", c')], "x.csv")
    assert b"".join(response.streaming_content) == '\ufeffdía,"a ""b"", c"\r\n'.encode()
    assert response["Content-Disposition"] == 'attachment; filename="x.csv"'


def test_rows_are_sent_one_by_one():
    def rows():
        yield ("first",)
        raise RuntimeError("the second row is not asked for yet")

    stream = csv_response(rows(), "x.csv").streaming_content
    assert [next(stream), next(stream)] == ["\ufeff".encode(), b"first\r\n"]
