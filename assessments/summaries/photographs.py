"""Photographs of strands: what became of one, strand by strand, and what the cook left out."""

import math
from collections import Counter, defaultdict
from dataclasses import dataclass

from django.db.models import Count
from django.utils.formats import number_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from assessments.calculations.compact import summary
from assessments.calculations.instruments import measurement_check
from assessments.calculations.measuring import results
from assessments.calculations.measuring.refusals import Reason
from assessments.models import Batch, Event, LeftOutStrand, Photograph, ReadingSet
from assessments.models.photographs import chosen_places, lay_out, root_mean_square

_CARD_ADVICE = gettext_lazy(
    "Lay the strands on the printed measuring card and take the photo from above, with all four "
    "square markers in the picture."
)
_OTHER_FILE = gettext_lazy("Choose a photo as the phone's camera made it: JPEG, HEIC, PNG or WebP.")

REFUSALS = {
    Reason.NOT_A_PICTURE: (gettext_lazy("This file is not a picture."), _OTHER_FILE),
    Reason.DAMAGED: (
        gettext_lazy("This picture is damaged or cut short."),
        gettext_lazy("Send it again, or take another photo."),
    ),
    Reason.FILE_TOO_LARGE: (
        gettext_lazy("This file is too large."),
        gettext_lazy("Choose the photo as the phone's camera made it, with its usual settings."),
    ),
    Reason.TOO_MANY_PIXELS: (
        gettext_lazy("This picture has too many pixels."),
        gettext_lazy("Set the camera to 50 megapixels or fewer and take the photo again."),
    ),
    Reason.TOO_FEW_PIXELS: (
        gettext_lazy("This picture is too small to measure in."),
        gettext_lazy("Choose the photo itself, not a preview or a picture of the screen."),
    ),
    Reason.ANIMATED: (
        gettext_lazy("This is a moving picture."),
        gettext_lazy("Take a single still photo, without a live or motion setting."),
    ),
    Reason.COLOURS: (
        gettext_lazy("The colours of this picture are stored in a way that cannot be measured."),
        _OTHER_FILE,
    ),
    Reason.NO_CARD: (gettext_lazy("No measuring card was found."), _CARD_ADVICE),
    Reason.MARKERS_HIDDEN: (
        gettext_lazy("Two or more of the card's four markers are not to be seen."),
        gettext_lazy(
            "Move strands, hands and shadows off the square markers, and take in the whole card."
        ),
    ),
    Reason.CARD_BENT: (
        gettext_lazy("The card is not flat, or was not printed evenly."),
        gettext_lazy("Press the card flat on the bench, or print a new one at 100 %."),
    ),
    Reason.BLURRED: (
        gettext_lazy("This photo is too blurred."),
        gettext_lazy(
            "Wipe the lens, tap on the strands to focus, hold the phone with both hands or lean "
            "it on something, and take the photo again."
        ),
    ),
    Reason.DARK: (
        gettext_lazy("This photo is too dark."),
        gettext_lazy("Take it again in more light: near a window or under the lamp of the bench."),
    ),
    Reason.FAR: (
        gettext_lazy("This photo was taken from too far away."),
        gettext_lazy("Go nearer, until the card nearly fills the picture."),
    ),
    Reason.STEEP: (
        gettext_lazy("This photo was taken too much from the side."),
        gettext_lazy("Hold the phone level above the middle of the card."),
    ),
    Reason.GLARE: (
        gettext_lazy("Glare lies over the strands."),
        gettext_lazy("Turn the card, or stand so that no lamp is mirrored in it."),
    ),
    Reason.NOTHING: (
        gettext_lazy("No strands were found on the card."),
        gettext_lazy("Lay the strands side by side inside the four corners of the field."),
    ),
    Reason.HEAPED: (
        gettext_lazy("The strands lie on one another."),
        gettext_lazy("Lay them side by side, with a gap about as wide as a strand between them."),
    ),
}
"""What a photo is refused for, and what to do about it."""

DETAILS = {
    Reason.FILE_TOO_LARGE: gettext_lazy("It has %(found)s MB; %(limit)s MB are the most."),
    Reason.TOO_MANY_PIXELS: gettext_lazy("It has %(found)s megapixels; %(limit)s are the most."),
    Reason.TOO_FEW_PIXELS: gettext_lazy(
        "It has %(found)s megapixels; it takes %(limit)s at least."
    ),
    Reason.MARKERS_HIDDEN: gettext_lazy("Found: %(found)s; it takes %(limit)s."),
    Reason.CARD_BENT: gettext_lazy(
        "Its markers miss their places by %(found)s mm; %(limit)s mm are the most."
    ),
    Reason.BLURRED: gettext_lazy("Edges are %(found)s mm soft; %(limit)s mm are the most."),
    Reason.DARK: gettext_lazy("White is %(found)s of 255 in it; it takes %(limit)s at least."),
    Reason.FAR: gettext_lazy("A millimetre has %(found)s pixels; it takes %(limit)s at least."),
    Reason.STEEP: gettext_lazy("It is tilted by %(found)s°; %(limit)s° are the most."),
}
"""The figures behind a refusal, in the units that the calculations give them in."""

REMARKS = {
    "soft": gettext_lazy("It is a little blurred: the widths are less sure than usual."),
    "coarse": gettext_lazy("It was taken from far away: from nearer, the widths would be surer."),
    "tilted": gettext_lazy(
        "It was taken from the side: from straight above, the widths would be surer."
    ),
    "thickness_assumed": gettext_lazy(
        "The sheet's thickness is not known; the house standard's was taken. Measure it while "
        "rolling, and the widths get surer."
    ),
    "marker_hidden": gettext_lazy("One marker of the card was hidden."),
    "glare": gettext_lazy("Glare lies over a part of the card."),
    "some_not_measured": gettext_lazy(
        "Some strands could not be measured: lay them apart from one another."
    ),
}
"""What is said beside a result."""

FLAGS = {
    results.TOUCHING: gettext_lazy("touches another strand"),
    results.CROSSING: gettext_lazy("crosses another strand"),
    results.GLARE: gettext_lazy("lies in glare"),
    results.OFF_FIELD: gettext_lazy("leaves the field; measured inside it"),
}
"""What is said of a strand."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a photo gives no widths, and what to do."""

    title: str
    detail: str
    advice: str

    def __str__(self):
        return " ".join(part for part in (self.title, self.detail, self.advice) if part)


@dataclass(frozen=True, slots=True)
class StrandLine:
    """One strand on a photo.

    ``cut_number`` is its number in the cut, None where it has no place. ``state`` is one of
    ``left-out``, ``not-measured``, ``narrow``, ``wide`` and ``within`` (of the tolerance).
    """

    number: int
    cut_number: int | None
    state: str
    is_surplus: bool
    width_mm: float | None
    u_mm: float | None
    taper_mm: float | None
    spread_mm: float | None
    length_mm: float
    flags: tuple[str, ...]
    left_out: LeftOutStrand | None
    profile_mm: tuple[tuple[float, float], ...]
    outline_px: tuple[tuple[float, float], ...]

    @property
    def sure_mm(self):
        """Half of the interval in which the width lies nineteen times in twenty; None without."""
        return expanded(self.u_mm)

    @property
    def change_mm(self):
        """How much the width changes from one end to the other, whichever is the wider."""
        return None if self.taper_mm is None else abs(self.taper_mm)


@dataclass(frozen=True, slots=True)
class PhotographSheet:
    """Everything that the page of a photograph shows.

    ``strands`` is empty until it is measured. Widths, counts, ``u_mm`` (of one width) and
    ``mean_u_mm`` are of this photograph; ``spoils_evidence`` is of the batch's readings that it
    went into. ``missing`` are numbers in the cut; ``places`` are those that the photograph may
    begin with, or miss, each with its number in the cut.
    """

    photograph: Photograph
    batch: Batch | None
    may_change: bool
    refusal: Refusal | None
    strands: tuple[StrandLine, ...] = ()
    n_measured: int = 0
    n_left_out: int = 0
    surplus: int = 0
    is_recorded: bool = False
    spoils_evidence: bool = False
    mean_mm: float | None = None
    sd_mm: float | None = None
    u_mm: float | None = None
    mean_u_mm: float | None = None
    low_mm: float | None = None
    high_mm: float | None = None
    is_poor: bool = False
    remarks: tuple[str, ...] = ()
    coarse: str = ""
    places: tuple[tuple[int, int], ...] = ()
    missing: tuple[int, ...] = ()

    @property
    def n_found(self):
        return len(self.strands)

    @property
    def n_counted(self):
        return self.n_measured - self.n_left_out

    @property
    def sure_mm(self):
        """Half of the interval in which one true width lies nineteen times in twenty."""
        return expanded(self.u_mm)

    @property
    def mean_sure_mm(self):
        """Half of the interval in which the true mean of these strands lies, as often."""
        return expanded(self.mean_u_mm)

    @property
    def size_px(self):
        return self.photograph.width_px, self.photograph.height_px

    @property
    def left_out(self):
        """How many strands are left out, in words; empty for none."""
        return left_out_note(self.n_left_out, self.n_measured)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """How many of the strands measured in a batch were left out, and why.

    ``n_removed`` counts the photos that were measured and removed again.
    """

    n: int
    n_measured: int
    reasons: tuple[str, ...]
    n_removed: int

    def __str__(self):
        return left_out_note(self.n, self.n_measured)


def refusal(reason, found=None, limit=None) -> Refusal:
    """Say in words why a photo or file is refused, for a code of ``Reason``."""
    reason = Reason(reason)
    title, advice = REFUSALS[reason]
    detail = ""
    if found is not None and limit is not None and reason in DETAILS:
        detail = DETAILS[reason] % {"found": _figure(found), "limit": _figure(limit)}
    return Refusal(str(title), str(detail), str(advice))


def refusal_of(photograph) -> Refusal | None:
    """Say why a photograph gives no widths: refused, or failed; None for any other."""
    if photograph.state == Photograph.State.REFUSED:
        return refusal(photograph.reason, photograph.found, photograph.limit)
    if photograph.state == Photograph.State.FAILED:
        return Refusal(
            _("Measuring this photo failed."),
            "",
            _("The photo is kept. Try again; if it fails again, take another one."),
        )
    return None


def _figure(number):
    if number == round(number):
        return number_format(number, decimal_pos=0)
    return number_format(number, decimal_pos=1 if abs(number) >= 1 else 2)


def photographs_to_show():
    """Return photographs with all that a sheet's page names, in one query."""
    return Photograph.objects.select_related(
        "batch__standard", "batch__style", "batch__cook", "trial__standard", "taken_by", "readings"
    )


def photograph_sheet(photograph) -> PhotographSheet:
    """Return the sheet of a photograph loaded by ``photographs_to_show``."""
    batch = photograph.batch
    may_change = (batch or photograph.trial).is_open
    if photograph.state != Photograph.State.MEASURED:
        return PhotographSheet(photograph, batch, may_change, refusal_of(photograph))
    chosen = [] if batch is None else chosen_places(batch)
    laid = _laid(photograph, len(chosen))
    left_out = _left_out_of(photograph) if laid is None else laid.left_out
    low_mm, high_mm = (batch or photograph.trial).standard.width_limits_mm
    measured = [strand for strand in photograph.strands if strand["width_mm"] is not None]
    counted = [strand for strand in measured if strand["number"] not in left_out]
    figures = summary([strand["width_mm"] for strand in counted])
    u_mm = root_mean_square(counted, "u_mm") if counted else None
    graded_mm = max(u_mm, root_mean_square(counted, "random_mm")) if counted else None
    remarks = {*photograph.result["remarks"]}
    if photograph.thickness_assumed:
        remarks.add("thickness_assumed")
    readings, missing = photograph.readings, photograph.missing_places
    return PhotographSheet(
        photograph,
        batch,
        may_change,
        None,
        strands=tuple(
            _line(strand, laid, chosen, left_out.get(strand["number"]), (low_mm, high_mm))
            for strand in photograph.strands
        ),
        n_measured=len(measured),
        n_left_out=len(measured) - len(counted),
        surplus=0 if laid is None else len(laid.surplus),
        is_recorded=readings is not None,
        spoils_evidence=readings is not None and readings.spoils_evidence,
        mean_mm=figures.mean,
        sd_mm=figures.sd,
        u_mm=u_mm,
        mean_u_mm=_u_of_mean(counted),
        low_mm=low_mm,
        high_mm=high_mm,
        is_poor=photograph.result["verdict"] != "good",
        remarks=tuple(str(text) for code, text in REMARKS.items() if code in remarks),
        coarse=coarse_note(graded_mm, (high_mm - low_mm) / 2) if counted else "",
        places=tuple(enumerate(chosen, start=1)),
        missing=tuple(chosen[place - 1] for place in missing if place <= len(chosen)),
    )


def expanded(u_mm):
    """Return the expanded uncertainty with a coverage factor of 2 (GUM 6.3.3), None for None."""
    return None if u_mm is None else 2 * u_mm


def _u_of_mean(strands):
    """Return the standard uncertainty of the mean of these strands; None without one.

    What differs from strand to strand averages out; what shifts all of them alike does not
    (GUM 5.2.2, note 1, with correlation 1).
    """
    if not strands:
        return None
    shared = [
        math.sqrt(max(0.0, strand["u_mm"] ** 2 - strand["random_mm"] ** 2)) for strand in strands
    ]
    own = root_mean_square(strands, "random_mm")
    return math.hypot(math.fsum(shared) / len(strands), own / math.sqrt(len(strands)))


def _laid(photograph, n_chosen):
    """Return how the strands lie on the chosen places; None where they have none yet."""
    if photograph.batch is None:
        return None
    layout = lay_out(photograph.batch.photographs.measured().with_left_out(), n_chosen)
    return next((laid for laid in layout if laid.photograph.pk == photograph.pk), None)


def _left_out_of(photograph):
    rows = photograph.left_out.active().select_related("by")
    return {row.number: row for row in rows}


def _line(strand, laid, chosen, left_out, limits_mm):
    number = strand["number"]
    place = laid.places.get(number) if laid and number not in laid.surplus else None
    return StrandLine(
        number=number,
        cut_number=None if place is None else chosen[place - 1],
        state=_state(strand["width_mm"], left_out, limits_mm),
        is_surplus=laid is not None and number in laid.surplus,
        width_mm=strand["width_mm"],
        u_mm=strand["u_mm"],
        taper_mm=strand["taper_mm"],
        spread_mm=strand["spread_mm"],
        length_mm=strand["length_mm"],
        flags=tuple(str(FLAGS[flag]) for flag in strand["flags"] if flag in FLAGS),
        left_out=left_out,
        profile_mm=tuple(map(tuple, strand["profile_mm"])),
        outline_px=tuple(map(tuple, strand["outline_px"])),
    )


def _state(width_mm, left_out, limits_mm):
    low_mm, high_mm = limits_mm
    if left_out is not None:
        return "left-out"
    if width_mm is None:
        return "not-measured"
    if width_mm < low_mm:
        return "narrow"
    return "wide" if width_mm > high_mm else "within"


def coarse_note(graded_mm, half_tolerance_mm) -> str:
    """Say whether a photo's widths are too unsure for a tolerance; empty where they are good."""
    words = {
        "u": number_format(graded_mm, decimal_pos=2),
        "tolerance": number_format(half_tolerance_mm, decimal_pos=2),
    }
    grade = measurement_check(graded_mm, half_tolerance_mm).grade
    if grade == "too coarse":
        return (
            _(
                "This photo is too coarse for this style: a width is sure to %(u)s mm only (one "
                "standard uncertainty), where the tolerance is ± %(tolerance)s mm. The widths are "
                "kept, but no share can be told from them, and they earn and cost nothing. Take a "
                "photo from nearer and from straight above, or use a caliper."
            )
            % words
        )
    if grade == "coarse":
        return (
            _(
                "This photo is coarse for this style: a width is sure to %(u)s mm (one standard "
                "uncertainty), where the tolerance is ± %(tolerance)s mm. It counts; a photo from "
                "nearer would tell more."
            )
            % words
        )
    return ""


def left_out_note(n, n_measured) -> str:
    """Say how many of the strands measured were left out; empty for none."""
    if not n:
        return ""
    return _("Left out: %(n)d of %(measured)d strands measured.") % {
        "n": n,
        "measured": n_measured,
    }


def left_out_of(batches) -> dict[int, LeftOut]:
    """Return what cooks left out of the widths of ``batches``, by the id of those where any was."""
    keys = [batch.pk for batch in batches]
    widths = (
        ReadingSet.objects.current()
        .filter(batch__in=keys, quantity=ReadingSet.Quantity.WIDTH, left_out__gt=0)
        .values_list("batch", "left_out", "n")
    )
    counts = {batch: (left_out, left_out + n) for batch, left_out, n in widths}
    strands = (
        LeftOutStrand.objects.active()
        .filter(photograph__batch__in=keys)
        .values_list("photograph__batch", "reason")
        .annotate(n=Count("pk"))
        .order_by("-n", "reason")
    )
    reasons = defaultdict(list)
    for batch, reason, n in strands:
        label = capfirst(LeftOutStrand.Reason(reason).label)
        reasons[batch].append(_("%(reason)s: %(n)d") % {"reason": label, "n": n})
    removed = Event.objects.filter(
        verb=Event.Verb.PHOTO_REMOVED,
        object_type=Batch._meta.model_name,
        object_id__in=keys,
        data__state=Photograph.State.MEASURED,
    )
    n_removed = Counter(removed.values_list("object_id", flat=True))
    return {
        batch: LeftOut(*counts.get(batch, (0, 0)), tuple(reasons[batch]), n_removed[batch])
        for batch in {*counts, *n_removed}
    }
