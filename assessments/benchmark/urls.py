"""The addresses of the site and one more: a signed-in page that does nothing, as the floor."""

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.urls import include, path
from django.views.decorators.http import require_safe


@require_safe
@login_required
def nothing(request):
    """Answer a signed-in person with an empty page: what the stack alone costs."""
    return HttpResponse()


urlpatterns = [
    path("benchmark-floor/", nothing, name="benchmark_floor"),
    path("", include("training.urls")),
]
