"""Reasons for which a photo gives no numbers."""

from enum import StrEnum


class Reason(StrEnum):
    """Why a file or photo is refused; the pages say it in words, with what to do."""

    NOT_A_PICTURE = "not_a_picture"
    DAMAGED = "damaged"
    FILE_TOO_LARGE = "file_too_large"
    TOO_MANY_PIXELS = "too_many_pixels"
    TOO_FEW_PIXELS = "too_few_pixels"
    ANIMATED = "animated"
    COLOURS = "colours"
    NO_CARD = "no_card"
    MARKERS_HIDDEN = "markers_hidden"
    CARD_BENT = "card_bent"
    BLURRED = "blurred"
    DARK = "dark"
    FAR = "far"
    STEEP = "steep"
    GLARE = "glare"
    NOTHING = "nothing"
    HEAPED = "heaped"


class RefusedError(Exception):
    """The photo cannot be measured, for ``reason``.

    Attributes
    ----------
    reason : Reason
        The code.
    found : float or None
        What was found, where a limit was missed, in the unit of the limit.
    limit : float or None
        The limit.
    """

    def __init__(
        self, reason: Reason, *, found: float | None = None, limit: float | None = None
    ) -> None:
        super().__init__(reason.value)
        self.reason = reason
        self.found = found
        self.limit = limit
