"""Tables as files for a spreadsheet."""

import csv

from django.http import StreamingHttpResponse

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


class _Line:
    """A file that hands back what is written to it."""

    def write(self, text):
        return text


def plain_cell(value):
    """Return a cell that no spreadsheet takes for a formula."""
    if isinstance(value, str) and value.startswith(FORMULA_SIGNS):
        return f"'{value}"
    return value


def csv_response(rows, file_name):
    """Send ``rows`` one by one as a CSV file in UTF-8, with the mark that spreadsheets look for."""
    writer = csv.writer(_Line())
    lines = (writer.writerow([plain_cell(cell) for cell in row]) for row in rows)

    def marked():
        yield "\ufeff"
        yield from lines

    return StreamingHttpResponse(
        marked(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{file_name}"'},
    )
