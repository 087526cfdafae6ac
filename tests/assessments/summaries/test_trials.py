import numpy as np
import pytest
from django.utils import timezone

from assessments.actions.measure_photograph import leave_out
from assessments.actions.trials import read_caliper
from assessments.models import Photograph, Trial
from assessments.summaries.trials import trial_list, trial_page
from tests import factories
from tests.addresses import compared

WIDTHS_MM = factories.GOOD_WIDTHS_MM


@pytest.fixture
def trial(house):
    return factories.TrialFactory(branch=house.branch, standard=house.standard, made_by=house.chef)


@pytest.fixture
def repeated(house):
    return factories.TrialFactory(
        kind="repeat", branch=house.branch, standard=house.standard, made_by=house.chef
    )


def page_of(trial):
    return trial_page(Trial.objects.with_names().get(pk=trial.pk))


def scattered(sd_mm, seed, off_mm=0.0):
    """Return the widths with a scatter of exactly ``sd_mm`` about ``off_mm``."""
    noise = np.random.default_rng(seed).normal(0, 1, len(WIDTHS_MM))
    noise = (noise - noise.mean()) / noise.std(ddof=1)
    return (np.array(WIDTHS_MM) + off_mm + sd_mm * noise).round(5).tolist()


def tried(trial, sd_mm, off_mm=0.0, **photo):
    read_caliper(trial, 1, WIDTHS_MM, caliper=None, by=trial.made_by)
    factories.tried(trial, scattered(sd_mm, 1, off_mm), **({"random_mm": 0.001} | photo))
    return page_of(trial)


# --- The sentence. The standard of the tests allows 3.2 mm give or take 0.5. ---


@pytest.mark.parametrize(
    ("sd_mm", "off_mm", "word", "sentence"),
    [
        (
            0.05,
            0.0,
            "good",
            "Good for thick wheat: the photo scatters by 0.050 mm, where the style allows "
            "± 0.50 mm.",
        ),
        (
            0.05,
            0.04,
            "good once corrected",
            "Good for thick wheat once corrected: the photo scatters by only 0.050 mm, where the "
            "style allows ± 0.50 mm, but reads 0.040 mm too wide.",
        ),
        (
            0.05,
            -0.04,
            "good once corrected",
            "Good for thick wheat once corrected: the photo scatters by only 0.050 mm, where the "
            "style allows ± 0.50 mm, but reads 0.040 mm too narrow.",
        ),
        (
            0.10,
            0.0,
            "coarse",
            "Coarse for thick wheat: the photo scatters by 0.100 mm, where the style allows "
            "± 0.50 mm; scores are given, and are less sure.",
        ),
        (
            0.10,
            0.1,
            "coarse",
            "Coarse for thick wheat: the photo scatters by 0.100 mm, where the style allows "
            "± 0.50 mm, and reads 0.100 mm too wide, which is to be corrected first.",
        ),
        (
            0.10,
            -0.1,
            "coarse",
            "Coarse for thick wheat: the photo scatters by 0.100 mm, where the style allows "
            "± 0.50 mm, and reads 0.100 mm too narrow, which is to be corrected first.",
        ),
        (
            0.20,
            0.0,
            "too coarse",
            "Too coarse for thick wheat: the photo scatters by 0.200 mm, where the style allows "
            "only ± 0.50 mm; use the caliper for it.",
        ),
        (
            0.20,
            0.2,
            "too coarse",
            "Too coarse for thick wheat: the photo scatters by 0.200 mm, where the style allows "
            "only ± 0.50 mm, and reads 0.200 mm too wide; use the caliper for it.",
        ),
        (
            0.20,
            -0.2,
            "too coarse",
            "Too coarse for thick wheat: the photo scatters by 0.200 mm, where the style allows "
            "only ± 0.50 mm, and reads 0.200 mm too narrow; use the caliper for it.",
        ),
    ],
)
def test_a_comparison_in_one_sentence(trial, sd_mm, off_mm, word, sentence):
    verdict = tried(trial, sd_mm, off_mm).verdict
    assert (verdict.word, verdict.sentence) == (word, sentence)


def test_too_few_strands_in_one_sentence(trial):
    trial.strands = 12
    trial.save()
    read_caliper(trial, 1, WIDTHS_MM[:12], caliper=None, by=trial.made_by)
    factories.tried(trial, WIDTHS_MM[:12])
    verdict = page_of(trial).verdict
    assert verdict.word == "too few strands"
    assert verdict.sentence == (
        "Too few strands for a verdict: 12 have both widths, and it takes 20 or more."
    )


@pytest.mark.parametrize(
    ("sd_mm", "begins"),
    [
        (0.05, "Good for thick wheat: photos of the same strands scatter by 0.0"),
        (0.10, "Coarse for thick wheat: photos of the same strands scatter by 0.0"),
        (0.25, "Too coarse for thick wheat: photos of the same strands scatter by 0.2"),
    ],
)
def test_repeats_in_one_sentence(repeated, sd_mm, begins):
    for seed in range(3):
        factories.tried(repeated, scattered(sd_mm, seed))
    assert page_of(repeated).verdict.sentence.startswith(begins)


def test_too_few_photos_in_one_sentence(repeated):
    repeated.strands = 10
    repeated.save()
    for _time in range(2):
        factories.tried(repeated, WIDTHS_MM[:10])
    assert page_of(repeated).verdict.sentence == (
        "Too few photos for a verdict: they give 10 repeated widths, and it takes 20 or more; "
        "take another photo of the same layout."
    )


# --- What is missing ---


def test_a_new_trial_says_what_it_needs(trial, repeated):
    page = page_of(trial)
    assert (page.result, page.verdict, page.figures) == (None, None, ())
    assert page.problems == ("No photo is measured yet.", "No caliper reading is typed yet.")
    assert page_of(repeated).problems == ("No photo is measured yet.",)


def test_another_number_of_strands_than_laid(trial):
    read_caliper(trial, 1, WIDTHS_MM, caliper=None, by=trial.made_by)
    factories.tried(trial, WIDTHS_MM[1:])
    page = page_of(trial)
    assert page.result is None
    assert page.problems[0].startswith("The photos together show 19 strands, and 20 are laid.")


def test_the_photo_that_differs_is_named(repeated):
    for widths_mm in (WIDTHS_MM, WIDTHS_MM[1:], WIDTHS_MM):
        factories.tried(repeated, widths_mm)
    page = page_of(repeated)
    assert [bool(line.trouble) for line in page.photographs] == [False, True, False]
    assert page.photographs[1].trouble.startswith("This photo shows 19 strands, and 20 are laid")
    assert page.result.photos == ((1, 3),)
    assert page.problems == ()


def test_photos_are_numbered_as_the_page_lists_them(house, repeated):
    """A refused photo among them shifts nothing."""
    first = factories.tried(repeated)
    Photograph.objects.filter(pk=first.pk).update(
        state="refused", result=None, reason="blurred", found=4.2, limit=3.0
    )
    for _time in range(2):
        factories.tried(repeated, by=house.chef)
    for _time in range(3):
        factories.tried(repeated, by=house.cook)
    page = page_of(repeated)
    assert page.photographs[0].strands is None
    assert "too blurred" in page.photographs[0].trouble
    assert page.result.photos == ((2, 3), (4, 5))
    assert page.people == (str(house.chef), str(house.cook))
    assert "Not used, since everybody counts with as many photos: 6." in page.caveats


def test_who_took_too_few_photos_is_named(house, repeated):
    for by in (house.chef, house.chef, house.cook):
        factories.tried(repeated, by=by)
    page = page_of(repeated)
    assert page.result is None
    assert page.problems == (
        f"{house.cook} took one photo. Everybody takes at least two of the same layout.",
    )


def test_a_photo_under_way_is_waited_for(trial):
    photograph = factories.tried(trial)
    assert not page_of(trial).is_under_way
    Photograph.objects.filter(pk=photograph.pk).update(state="waiting", result=None)
    page = page_of(trial)
    assert page.is_under_way
    assert page.photographs[0].strands is None


# --- Figures and caveats ---


def figures(page):
    return {figure.name: (figure.value, figure.interval) for figure in page.figures}


def test_figures_of_a_comparison(trial):
    page = tried(trial, 0.05, 0.02)
    shown = figures(page)
    # 0.02 with t(0.975; 19) 2.093 times 0.05 / sqrt(20); limits 1.96 times 0.05 from it.
    assert shown["photo less caliper, mean"] == ("0.020", "−0.003 to 0.043")
    assert shown["lower limit of agreement"][0] == "−0.078"
    assert shown["upper limit of agreement"][0] == "0.118"
    assert shown["spread of the differences"] == ("0.050", "")
    assert shown["photo, one width"] == ("0.050", "")
    assert "caliper, one reading" not in shown
    assert (page.components, page.analysis) == ((), ())
    assert (page.first_read, page.second_read) == (20, 0)


def test_figures_of_repeats(house, repeated):
    for by, off_mm in ((house.chef, 0.0), (house.cook, 0.05)):
        for seed in (1, 2):
            factories.tried(repeated, scattered(0.03, seed, off_mm), by=by)
    page = page_of(repeated)
    study = page.result.study
    assert figures(page)["the same person"][0] == f"{study.repeatability.sd:.3f}"
    assert figures(page)["both together"][0] == f"{study.grr.sd:.3f}"
    assert len(page.components) == 7
    assert page.components[-1][2:4] == ("100.0", "100.0")
    assert [row[0] for row in page.analysis] == ["strands", "people", "repeats", "all together"]
    assert page.analysis[0][1] == "19"
    assert page.analysis[-1][3:] == ("–", "–", "–")


def test_one_person_is_said(repeated):
    for seed in (1, 2):
        factories.tried(repeated, scattered(0.03, seed))
    page = page_of(repeated)
    assert len(page.components) == 4
    assert any(caveat.startswith("One person took all photos") for caveat in page.caveats)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, "The caliper was read once, and its own scatter is not known"),
        ({"thickness_mm": None}, "The thickness of the strands was not measured"),
        ({}, "A trial speaks for this style, this phone and this light."),
    ],
)
def test_what_to_keep_in_mind(trial, changes, said):
    Trial.objects.filter(pk=trial.pk).update(**changes)
    page = tried(trial, 0.02)
    assert any(caveat.startswith(said) for caveat in page.caveats)


def test_the_entry_of_the_instrument_is_named(trial):
    caliper = factories.InstrumentFactory(repeatability_mm="0.0300")
    read_caliper(trial, 1, WIDTHS_MM, caliper=caliper, by=trial.made_by)
    factories.tried(trial, scattered(0.05, 1))
    caveats = page_of(trial).caveats
    assert any("its entry among the instruments, 0.030 mm" in caveat for caveat in caveats)
    assert figures(page_of(trial))["photo, one width"][0] == "0.040"


@pytest.mark.parametrize(
    ("u_mm", "said"),
    [
        (0.06, "20 of 20 differences lie within twice the uncertainty"),
        (0.01, "The photo takes itself for surer than it is"),
    ],
)
def test_stated_uncertainty_is_held_against_the_differences(trial, u_mm, said):
    caliper = factories.InstrumentFactory(repeatability_mm="0.0100")
    read_caliper(trial, 1, WIDTHS_MM, caliper=caliper, by=trial.made_by)
    factories.tried(trial, scattered(0.05, 1), u_mm=u_mm)
    assert any(caveat.startswith(said) for caveat in page_of(trial).caveats)


@pytest.mark.parametrize(("off_mm", "said"), [(0.05, True), (0.0, False)])
def test_a_bias_says_where_to_look(trial, off_mm, said):
    caveats = tried(trial, 0.02, off_mm).caveats
    assert caveats[0].startswith("What shifts all widths alike") is said


def test_a_difference_that_grows_with_the_width_is_said(trial):
    read_caliper(trial, 1, WIDTHS_MM, caliper=None, by=trial.made_by)
    factories.tried(trial, [3.2 + 1.2 * (width - 3.2) for width in WIDTHS_MM])
    page = page_of(trial)
    assert page.result.agreement.trend.leaves_out_zero
    assert any(caveat.startswith("The difference changes") for caveat in page.caveats)


def test_strands_left_out_by_hand_are_counted(trial):
    read_caliper(trial, 1, WIDTHS_MM, caliper=None, by=trial.made_by)
    photograph = factories.tried(trial)
    for number in (3, 4):
        leave_out(photograph, number, "torn", by=trial.made_by)
    caveats = page_of(trial).caveats
    assert caveats[0].startswith("2 strands were left out on the photos by hand.")
    assert any(caveat.startswith("2 strands have no width") for caveat in caveats)


def test_remarks_on_a_photo_are_shown_with_it(trial):
    factories.tried(trial, remarks=("soft", "thickness_assumed"), verdict="poor")
    [line] = page_of(trial).photographs
    assert line.remarks == ("It is a little blurred: the widths are less sure than usual.",)


def test_who_can_take_the_repeatability_over(house):
    trial = compared(house)
    assert page_of(trial).can_take_over
    Trial.objects.filter(pk=trial.pk).update(caliper=None)
    assert not page_of(trial).can_take_over


# --- The list ---


def test_the_list_shows_what_a_person_may_read(house):
    mine = factories.TrialFactory(branch=house.branch, standard=house.standard)
    other = factories.TrialFactory(
        branch=house.other_branch,
        standard=house.standard,
        closed_at=timezone.now(),
        grade="coarse",
    )

    def seen(person):
        return [(line.trial, line.grade) for line in trial_list(person).lines]

    assert seen(house.chef) == [(mine, "")]
    assert seen(house.other_chef) == [(other, "coarse")]
    assert seen(house.owner) == [(other, "coarse"), (mine, "")]
    assert seen(house.cook) == []
    assert seen(house.other_cook) == [(other, "coarse")]


def test_the_page_of_a_trial_takes_few_queries(house, django_assert_num_queries):
    trial = factories.TrialFactory(
        kind="repeat", branch=house.branch, standard=house.standard, made_by=house.chef
    )
    for _time in range(2):
        factories.tried(trial)
    trial = Trial.objects.with_names().get(pk=trial.pk)
    with django_assert_num_queries(2):
        trial_page(trial)
    for by in (house.chef, house.cook, house.cook, house.chef):
        leave_out(factories.tried(trial, by=by), 1, "torn", by=by)
    trial = Trial.objects.with_names().get(pk=trial.pk)
    with django_assert_num_queries(2):
        trial_page(trial)
