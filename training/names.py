"""Names of the house, lists and quotations in the language of the reader."""

from collections.abc import Iterable

from django.utils.translation import gettext


def told(name: str) -> str:
    """Return a name that the site came with in the active language, one of the house as it is."""
    return gettext(name) if name else ""


def listed(names: Iterable[object]) -> str:
    """Return ``names`` with the comma of the active language between them."""
    return gettext(", ").join(map(str, names))


def quoted(text: object) -> str:
    """Return what somebody wrote in the quotation marks of the active language."""
    return gettext("“%(text)s”") % {"text": text}
