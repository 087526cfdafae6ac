"""The list of modules, a module, and what a person has read and answered."""

from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from training.again import again_today
from training.forms import AnswerForm, SearchForm
from training.models import ModulePage, Word
from training.module_list import module_list
from training.reading import record_all_steps, record_answer, record_steps
from training.search import search
from training.signs import SIGNS
from training.spacing import INTERVALS_DAYS
from training.summaries import reading_of, shown_standard
from training.went_wrong import causes_of, signs


@require_safe
@login_required
def module_index(request):
    stations = module_list(request.user)
    context = {
        "stations": stations,
        "mine": [station for station in stations if station.is_mine],
        "others": [station for station in stations if not station.is_mine],
    }
    return render(request, "training/modules.html", context)


@require_safe
@login_required
def module(request, slug):
    return module_called(slug).serve(request)


def module_called(slug):
    """Return the module of this short name in the person's language; 404 where there is none.

    One address serves all languages, so that a label at a station opens in that of its reader.
    """
    same = ModulePage.objects.filter(slug=slug).values("translation_key")
    pages = ModulePage.objects.in_language().select_related("station")
    return get_object_or_404(pages, translation_key__in=same)


@require_POST
@login_required
def read_steps(request, pk):
    """Record the steps that the page has shown, or all of them for the button at the end."""
    page = get_object_or_404(ModulePage.objects.live(), pk=pk)
    if "all" in request.POST:
        record_all_steps(request.user, page)
    else:
        record_steps(request.user, page, request.POST.getlist("step"))
    if is_fetched(request):
        context = {"page": page, "reading": reading_of(page, request.user)}
        return render(request, "training/_standing.html", context)
    return back_to(request, page, "end")


@require_POST
@login_required
def answer_question(request, pk, question):
    """Record an answer and go back to its question, which then says why."""
    page = get_object_or_404(ModulePage.objects.live(), pk=pk)
    form = AnswerForm(request.POST, answers=page.answers_of(question))
    if form.is_valid():
        record_answer(request.user, page, question, form.cleaned_data["choice"])
    empty = "" if form.is_valid() else str(question)
    reading = reading_of(page, request.user, empty=empty)
    screen = reading.screen_of(question)
    if screen is None:
        raise Http404
    if "again" in request.POST:
        kept = f"?{urlencode({'empty': empty})}" if empty else ""
        return redirect(f"{reverse('questions_again')}{kept}#question-{question}")
    if is_fetched(request):
        return answered(request, page, reading, screen)
    return back_to(request, page, screen.anchor, empty=empty)


@require_safe
@login_required
def questions_again(request):
    """Questions that the person missed and that come back today."""
    context = {
        "again": again_today(request.user, empty=request.GET.get("empty", "")),
        "standard": shown_standard(request.user),
        "reading": {"is_recorded": True},
        "intervals": INTERVALS_DAYS,
    }
    return render(request, "training/again.html", context)


@require_safe
@login_required
def went_wrong(request):
    """What one may see when something went wrong."""
    return render(request, "training/went_wrong.html", {"signs": signs()})


@require_safe
@login_required
def went_wrong_sign(request, sign):
    """The likely causes of what one sees, in order."""
    if sign not in SIGNS:
        raise Http404
    context = {
        "sign": SIGNS[sign],
        "causes": causes_of(sign),
        "standard": shown_standard(request.user, request.GET.get("style", "")),
    }
    return render(request, "training/went_wrong_sign.html", context)


@require_safe
@login_required
def search_modules(request):
    """Modules, faults and words of the trade for what was asked; the form where nothing was."""
    form = SearchForm(request.GET if "q" in request.GET else None)
    results = search(form.cleaned_data["q"]) if form.is_valid() else None
    context = {"form": form, "results": results, "standard": {"numbers": {}}}
    return render(request, "training/search.html", context)


@require_safe
@login_required
def words(request):
    """Words of the trade, with their script and meaning."""
    return render(request, "training/words.html", {"words": Word.objects.in_language()})


def is_fetched(request):
    """Return whether the page's own script asks, and wants only what has changed."""
    return request.headers.get("X-Requested-With") == "fetch"


def answered(request, page, reading, screen):
    """Render one question with its answer, and the standing in the module."""
    standard = shown_standard(request.user, request.POST.get("style", ""))
    context = {"page": page, "reading": reading, "screen": screen, "standard": standard}
    return render(request, "training/_answered.html", context)


def back_to(request, page, anchor, **query):
    """Return to a place in the module, with the style that was shown."""
    wanted = {"style": request.POST.get("style", ""), **query}
    kept = urlencode({name: value for name, value in wanted.items() if value})
    return redirect(f"{page.address}{'?' if kept else ''}{kept}#{anchor}")
