"""The house's own pictures, kept in a folder of this machine: for people of the house only."""

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe
from django.views.static import serve


@require_safe
@login_required
@cache_control(private=True, max_age=86_400)
def upload(request, path):
    """Send one uploaded file; object storage, where a house has it, answers by itself."""
    response = serve(request, path, document_root=settings.MEDIA_ROOT)
    # Whatever somebody managed to upload, it is shown as a picture or not at all.
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response["X-Content-Type-Options"] = "nosniff"
    return response
