"""The list of modules, a module, and what a person has read and answered."""

from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from training.forms import AnswerForm
from training.models import ModulePage
from training.module_list import module_list
from training.reading import record_all_steps, record_answer, record_steps
from training.summaries import reading_of, shown_standard


@require_safe
@login_required
def module_index(request):
    return render(request, "training/modules.html", {"stations": module_list(request.user)})


@require_safe
@login_required
def module(request, slug):
    pages = ModulePage.objects.live().select_related("station")
    return get_object_or_404(pages, slug=slug).serve(request)


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
    if is_fetched(request):
        return answered(request, page, reading, screen)
    return back_to(request, page, screen.anchor, empty=empty)


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
