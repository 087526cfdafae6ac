"""What a trial of the photos shows, in figures and in words."""

from dataclasses import dataclass, replace

import numpy as np
from django.core.paginator import Page, Paginator
from django.template.defaultfilters import floatformat
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext_lazy

from assessments.calculations.gauge import ENOUGH_STRANDS
from assessments.calculations.trials import BIASED, TOO_FEW, Comparison, Repeats, verdict
from assessments.models import Photograph, Trial
from assessments.summaries.photographs import REMARKS, refusal_of
from training.names import listed

PAGE_SIZE = 20
HONEST_SHARE = 0.85
"""With honest uncertainties fewer than 17 of 20 lie within two of them once in 60 trials."""

GRADES = {
    "good": pgettext_lazy("verdict on the photos", "good"),
    BIASED: pgettext_lazy("verdict on the photos", "good once corrected"),
    "coarse": pgettext_lazy("verdict on the photos", "coarse"),
    "too coarse": pgettext_lazy("verdict on the photos", "too coarse"),
    TOO_FEW: pgettext_lazy("verdict on the photos", "too few strands"),
}
# By grade, and by what the bias is: none to be told, too wide, too narrow.
COMPARED = {
    "good": (
        gettext_lazy(
            "Good for %(style)s: the photo scatters by %(sd)s mm, where the style allows "
            "± %(half)s mm."
        ),
    ),
    BIASED: (
        "",
        gettext_lazy(
            "Good for %(style)s once corrected: the photo scatters by only %(sd)s mm, where the "
            "style allows ± %(half)s mm, but reads %(bias)s mm too wide."
        ),
        gettext_lazy(
            "Good for %(style)s once corrected: the photo scatters by only %(sd)s mm, where the "
            "style allows ± %(half)s mm, but reads %(bias)s mm too narrow."
        ),
    ),
    "coarse": (
        gettext_lazy(
            "Coarse for %(style)s: the photo scatters by %(sd)s mm, where the style allows "
            "± %(half)s mm; scores are given, and are less sure."
        ),
        gettext_lazy(
            "Coarse for %(style)s: the photo scatters by %(sd)s mm, where the style allows "
            "± %(half)s mm, and reads %(bias)s mm too wide, which is to be corrected first."
        ),
        gettext_lazy(
            "Coarse for %(style)s: the photo scatters by %(sd)s mm, where the style allows "
            "± %(half)s mm, and reads %(bias)s mm too narrow, which is to be corrected first."
        ),
    ),
    "too coarse": (
        gettext_lazy(
            "Too coarse for %(style)s: the photo scatters by %(sd)s mm, where the style allows "
            "only ± %(half)s mm; use the caliper for it."
        ),
        gettext_lazy(
            "Too coarse for %(style)s: the photo scatters by %(sd)s mm, where the style allows "
            "only ± %(half)s mm, and reads %(bias)s mm too wide; use the caliper for it."
        ),
        gettext_lazy(
            "Too coarse for %(style)s: the photo scatters by %(sd)s mm, where the style allows "
            "only ± %(half)s mm, and reads %(bias)s mm too narrow; use the caliper for it."
        ),
    ),
}
REPEATED = {
    "good": gettext_lazy(
        "Good for %(style)s: photos of the same strands scatter by %(sd)s mm, where the style "
        "allows ± %(half)s mm."
    ),
    "coarse": gettext_lazy(
        "Coarse for %(style)s: photos of the same strands scatter by %(sd)s mm, where the style "
        "allows ± %(half)s mm; scores are given, and are less sure."
    ),
    "too coarse": gettext_lazy(
        "Too coarse for %(style)s: photos of the same strands scatter by %(sd)s mm, where the "
        "style allows only ± %(half)s mm; use the caliper for it."
    ),
}
COMPARED_TOO_FEW = gettext_lazy(
    "Too few strands for a verdict: %(n)d have both widths, and it takes %(wanted)d or more."
)
REPEATED_TOO_FEW = gettext_lazy(
    "Too few photos for a verdict: they give %(n)d repeated widths, and it takes %(wanted)d or "
    "more; take another photo of the same layout."
)
SOURCES = {
    "part": gettext_lazy("strands"),
    "appraiser": gettext_lazy("people"),
    "interaction": gettext_lazy("people by strands"),
    "repeatability": gettext_lazy("repeats"),
    "total": gettext_lazy("all together"),
}


@dataclass(frozen=True, slots=True)
class TrialLine:
    """One trial of the list; ``grade`` is a word, empty for an open one."""

    trial: Trial
    grade: str


@dataclass(frozen=True, slots=True)
class TrialList:
    """One page of the trials that a person may read, newest first."""

    lines: tuple[TrialLine, ...]
    page: Page


@dataclass(frozen=True, slots=True)
class PhotoLine:
    """One photo of a trial: ``strands`` were found on it.

    ``trouble`` says why it gives nothing, ``remarks`` why it gives less than it could.
    """

    photograph: Photograph
    number: int
    strands: int | None
    trouble: str
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """A number with its name and, where it has one, its 95 % interval."""

    name: str
    value: str
    interval: str = ""


@dataclass(frozen=True, slots=True)
class VerdictWords:
    """The verdict: a code, its word, and one sentence."""

    grade: str
    word: str
    sentence: str


@dataclass(frozen=True, slots=True)
class TrialPage:
    """All that the page of a trial shows.

    ``result`` is a ``Comparison``, a ``Repeats`` or None; ``components`` and ``analysis`` are the
    rows of the tables of a gauge study. ``first_read`` and ``second_read`` count strands read by
    caliper.
    """

    trial: Trial
    photographs: tuple[PhotoLine, ...]
    result: Comparison | Repeats | None
    people: tuple[str, ...]
    verdict: VerdictWords | None
    problems: tuple[str, ...]
    figures: tuple[Figure, ...]
    components: tuple[tuple[str, ...], ...]
    analysis: tuple[tuple[str, ...], ...]
    caveats: tuple[str, ...]
    first_read: int
    second_read: int
    can_take_over: bool

    @property
    def is_under_way(self):
        return any(line.photograph.is_under_way for line in self.photographs)


def trial_list(viewer, number=1):
    """Return page ``number`` of the trials that ``viewer`` may read."""
    trials = Trial.objects.readable_by(viewer).with_names()
    page = Paginator(trials, PAGE_SIZE).get_page(number)
    return TrialList(
        lines=tuple(TrialLine(trial, str(GRADES.get(trial.grade, ""))) for trial in page),
        page=page,
    )


def trial_page(trial):
    """Return the ``TrialPage`` of a trial loaded by ``with_names``."""
    photographs = list(trial.photographs.select_related("taken_by").with_left_out())
    measured = [one for one in photographs if one.state == Photograph.State.MEASURED]
    # Measured photos are matched among themselves; the page numbers all of them.
    numbers = [photographs.index(one) + 1 for one in measured]
    result, problems = trial.outcome(measured)
    if isinstance(result, Repeats):
        result = _numbered(result, numbers)
    names = {one.taken_by_id: str(one.taken_by) for one in photographs}
    aside = {
        numbers[problem.photo - 1]: problem
        for problem in problems
        if problem.code == "photo_strands"
    }
    compared = result if isinstance(result, Comparison) else None
    repeated = result if isinstance(result, Repeats) else None
    return TrialPage(
        trial=trial,
        photographs=tuple(
            _photo_line(number, one, aside.get(number))
            for number, one in enumerate(photographs, start=1)
        ),
        result=result,
        people=tuple(names[person] for person in repeated.people) if repeated else (),
        verdict=result and _verdict(trial, result),
        problems=tuple(
            _problem(problem, names) for problem in problems if problem.code != "photo_strands"
        ),
        figures=_comparison_figures(compared) if compared else _repeat_figures(repeated),
        components=_components(repeated.study) if repeated else (),
        analysis=_analysis(repeated.study) if repeated else (),
        caveats=(
            *_left_out_by_hand(measured if result else ()),
            *(_comparison_caveats(trial, compared) if compared else ()),
            *(_repeat_caveats(repeated) if repeated else ()),
        ),
        first_read=_read(trial.first_mm),
        second_read=_read(trial.second_mm),
        can_take_over=bool(
            compared and compared.caliper and trial.caliper and compared.caliper.n >= ENOUGH_STRANDS
        ),
    )


def _numbered(repeated, numbers):
    """Return ``repeated`` with its photos called by their ``numbers`` among all of the trial."""
    return replace(
        repeated,
        photos=tuple(tuple(numbers[photo - 1] for photo in of_one) for of_one in repeated.photos),
        unused=tuple(numbers[photo - 1] for photo in repeated.unused),
    )


def _read(readings):
    return int(np.isfinite(readings).sum())


def _mm(value):
    # Thousandths: a photo and a caliper differ by a few of them.
    return floatformat(value, 3).replace("-", "−")


def _photo_line(number, photograph, problem):
    result = photograph.result
    remarks = result["remarks"] if result else ()
    return PhotoLine(
        photograph=photograph,
        number=number,
        strands=len(photograph.strands) if result else None,
        trouble=_count_trouble(problem) if problem else str(refusal_of(photograph) or ""),
        # What the trial itself says of the thickness is said once, not beside each photo.
        remarks=tuple(str(REMARKS[code]) for code in remarks if code != "thickness_assumed"),
    )


def _count_trouble(problem):
    return _(
        "This photo shows %(found)d strands, and %(wanted)d are laid: it is left aside, for "
        "strands are matched by their order. Leave out what is none of them, or take it again."
    ) % {"found": problem.found, "wanted": problem.wanted}


def _problem(problem, names):
    """Return in words what stands in the way of a result."""
    if problem.code == "no_photo":
        return _("No photo is measured yet.")
    if problem.code == "no_caliper":
        return _("No caliper reading is typed yet.")
    if problem.code == "strands":
        return _(
            "The photos together show %(found)d strands, and %(wanted)d are laid. Strands are "
            "matched by their order: take the photo again on which one is missing or too many."
        ) % {"found": problem.found, "wanted": problem.wanted}
    if problem.code == "few_photos":
        return _("%(person)s took one photo. Everybody takes at least two of the same layout.") % {
            "person": names[problem.person]
        }
    return _("Fewer than two strands have a width everywhere. Take the photo again.")


def _verdict(trial, result):
    found = verdict(result, trial.half_tolerance_mm)
    words = {
        "style": str(trial.standard.style),
        "sd": _mm(found.sd_mm),
        "half": floatformat(trial.half_tolerance_mm, 2),
        "n": found.n,
        "wanted": found.wanted,
    }
    if isinstance(result, Repeats):
        sentence = REPEATED_TOO_FEW if found.grade == TOO_FEW else REPEATED[found.grade]
    elif found.grade == TOO_FEW:
        sentence = COMPARED_TOO_FEW
    else:
        bias = result.agreement.bias
        words["bias"] = _mm(abs(bias.value))
        way = 0 if not bias.leaves_out_zero else 1 if bias.value > 0 else 2
        sentence = COMPARED[found.grade][way]
    return VerdictWords(found.grade, str(GRADES[found.grade]), str(sentence) % words)


def _interval(estimate):
    return _("%(low)s to %(high)s") % {"low": _mm(estimate.low), "high": _mm(estimate.high)}


def _comparison_figures(compared):
    found = compared.agreement
    figures = [
        Figure(_("photo less caliper, mean"), _mm(found.bias.value), _interval(found.bias)),
        Figure(_("lower limit of agreement"), _mm(found.lower.value), _interval(found.lower)),
        Figure(_("upper limit of agreement"), _mm(found.upper.value), _interval(found.upper)),
        Figure(_("spread of the differences"), _mm(found.sd)),
        Figure(_("photo, one width"), _mm(compared.photo_sd_mm)),
    ]
    if compared.caliper:
        own = compared.caliper
        figures.append(
            Figure(
                _("caliper, one reading"),
                _mm(own.sigma_m),
                _("at most %(upper)s") % {"upper": _mm(own.sigma_upper)},
            )
        )
    if found.trend is not None:
        figures.append(
            Figure(
                _("growth of the difference, mm for each mm"),
                _mm(found.trend.value),
                _interval(found.trend),
            )
        )
    return tuple(figures)


def _comparison_caveats(trial, compared):
    found, caveats = compared.agreement, []
    if found.bias.leaves_out_zero:
        caveats.append(
            _(
                "What shifts all widths alike: a card that was not printed at 100 %, another "
                "thickness than the one reckoned with, a caliper that does not close at zero, or "
                "jaws that press into soft dough. Look for it and repeat the trial; no formula "
                "here takes it off."
            )
        )
    if found.trend is not None and found.trend.leaves_out_zero:
        caveats.append(
            _(
                "The difference changes with the width: wide and narrow strands are not off by "
                "the same amount."
            )
        )
    if compared.caliper is None and compared.caliper_sd_mm is None:
        caveats.append(
            _(
                "The caliper was read once, and its own scatter is not known: all of the scatter "
                "is put down to the photo. Read every strand a second time."
            )
        )
    elif compared.caliper is None:
        caveats.append(
            _(
                "The caliper was read once: its own scatter is taken from its entry among the "
                "instruments, %(sd)s mm."
            )
            % {"sd": _mm(compared.caliper_sd_mm)}
        )
    n = len(compared.places)
    if compared.within_two_u is not None:
        within = {"within": compared.within_two_u, "n": n}
        if compared.within_two_u < HONEST_SHARE * n:
            caveats.append(
                _(
                    "The photo takes itself for surer than it is: %(within)d of %(n)d differences "
                    "lie within twice the uncertainty that it states. About 95 in 100 should."
                )
                % within
            )
        else:
            caveats.append(
                _(
                    "%(within)d of %(n)d differences lie within twice the uncertainty that the "
                    "photo states for them. About 95 in 100 should."
                )
                % within
            )
    caveats += _left_out(
        compared.left_out,
        ngettext(
            "%(count)d strand has no width from the photo or the caliper and is left out.",
            "%(count)d strands have no width from the photo or the caliper and are left out.",
            compared.left_out,
        ),
    )
    if trial.thickness_mm is None:
        caveats.append(
            _(
                "The thickness of the strands was not measured: the photo reckons with the "
                "style's target, and is less sure for it."
            )
        )
    caveats.append(
        _(
            "A trial speaks for this style, this phone and this light. Repeat it with another "
            "phone, or with another kind of noodle."
        )
    )
    return tuple(caveats)


def _left_out_by_hand(photographs):
    n = sum(len(photograph.left_out_now) for photograph in photographs)
    if not n:
        return
    yield ngettext(
        "%(count)d strand was left out on its photo by hand. Leaving out what disagrees makes the "
        "photo look better than it is.",
        "%(count)d strands were left out on the photos by hand. Leaving out what disagrees makes "
        "the photo look better than it is.",
        n,
    ) % {"count": n}


def _left_out(count, words):
    return [words % {"count": count}] if count else []


def _repeat_figures(repeated):
    if repeated is None:
        return ()
    study = repeated.study
    figures = [Figure(_("the same person"), _mm(study.repeatability.sd))]
    if study.reproducibility:
        figures += [
            Figure(_("between people"), _mm(study.reproducibility.sd)),
            Figure(_("both together"), _mm(study.grr.sd)),
        ]
    figures += [
        Figure(_("the strands themselves"), _mm(study.part.sd)),
        Figure(
            _("widths that can be told apart"),
            "–" if study.distinct_categories is None else str(study.distinct_categories),
        ),
    ]
    return tuple(figures)


def _components(study):
    """Return the rows of the table of components: name, mm, and the three percentages."""
    named = [
        (_("repeatability: the same person again"), study.repeatability),
        (_("reproducibility: people among each other"), study.reproducibility),
        (_("of it people as such"), study.appraiser),
        (_("of it people by strands"), study.interaction),
        (_("both: repeatability and reproducibility"), study.grr),
        (_("the strands themselves"), study.part),
        (_("all together"), study.total),
    ]
    return tuple(
        (
            name,
            _mm(part.sd),
            floatformat(part.contribution_percent, 1) or "–",
            floatformat(part.study_percent, 1) or "–",
            floatformat(part.tolerance_percent, 1) or "–",
        )
        for name, part in named
        if part is not None
    )


def _analysis(study):
    """Return the rows of the analysis of variance that the components come from."""
    return tuple(
        (
            str(SOURCES[line.source]),
            str(line.df),
            floatformat(line.ss, 5),
            "–" if line.ms is None else floatformat(line.ms, 5),
            "–" if line.f is None else floatformat(line.f, 2),
            _probability(line.p),
        )
        for line in study.pooled_lines or study.lines
    )


def _probability(p):
    if p is None:
        return "–"
    return f"< {floatformat(0.001, 3)}" if p < 0.001 else floatformat(p, 3)


def _repeat_caveats(repeated):
    study, caveats = repeated.study, []
    caveats.append(
        _(
            "Repeats tell how well photos agree with each other, not whether they are right: for "
            "that, compare with a caliper."
        )
    )
    if study.appraisers == 1:
        caveats.append(
            _(
                "One person took all photos: how far people differ is not known. Let a second "
                "person take as many."
            )
        )
    elif not study.pooled_lines:
        caveats.append(_("People differ on some strands more than on others."))
    if repeated.unused:
        caveats.append(
            _("Not used, since everybody counts with as many photos: %(photos)s.")
            % {"photos": listed(repeated.unused)}
        )
    caveats += _left_out(
        repeated.left_out,
        ngettext(
            "%(count)d strand has no width on one of the photos and is left out.",
            "%(count)d strands have no width on one of the photos and are left out.",
            repeated.left_out,
        ),
    )
    caveats.append(
        _(
            "Six times the scatter against the tolerance is a rule for sorting single parts, with "
            "limits of 10 and 30 percent. A batch is judged by a share over many strands, which "
            "asks for less; the verdict above uses the house's own limits."
        )
    )
    return tuple(caveats)
