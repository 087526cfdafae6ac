"""The short videos of the house in the editor: added, named, looked at, taken away."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from wagtail.admin.forms import WagtailAdminModelForm
from wagtail.admin.panels import FieldPanel, HelpPanel, ObjectList
from wagtail.admin.ui.tables import Column
from wagtail.snippets.views.chooser import ChooseView, SnippetChooserViewSet
from wagtail.snippets.views.snippets import EditView, IndexView, SnippetViewSet

from training.clips import keep_clip, pick_up_lost
from training.models import Clip
from training.videos import (
    LARGEST_MB,
    LONGEST_S,
    Reason,
    VideoError,
    can_take_videos,
    take_in,
    words_of,
)


class ClipForm(WagtailAdminModelForm):
    """A new video with its file, or the title of one that is there."""

    film = forms.FileField(
        label=gettext_lazy("File"),
        widget=forms.FileInput(
            attrs={"accept": "video/mp4,video/quicktime,video/webm,video/x-matroska,.mkv"}
        ),
    )

    class Meta:
        model = Clip
        fields = ["title"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            # Another film is another clip: pages that show this one shall not change by themselves.
            del self.fields["film"]
        elif can_take_videos():
            self.fields["film"].help_text = _(
                "One movement, at most %(seconds)d seconds and %(megabytes)d MB. It is shown "
                "small and without sound; where it was filmed is not kept. People in it have "
                "agreed to be shown."
            ) % {"seconds": LONGEST_S, "megabytes": LARGEST_MB}
        else:
            self.fields["film"].help_text = words_of(Reason.NO_PROGRAM)

    def clean_film(self):
        """Return the pictures of the film, see `training.videos.take_in`."""
        try:
            return take_in(self.cleaned_data["film"])
        except VideoError as error:
            raise ValidationError(words_of(error.reason), code=error.reason.value) from None

    def save(self, commit=True):
        if not commit or self.instance.pk:
            return super().save(commit)
        keep_clip(self.instance, self.cleaned_data["film"])
        # Where there are no workers beside the site it is ready already.
        self.instance.refresh_from_db()
        return self.instance


class ClipIndex(IndexView):
    """All videos, and how each of them stands."""

    def get(self, request, *args, **kwargs):
        pick_up_lost()
        return super().get(request, *args, **kwargs)


class ClipEdit(EditView):
    """One video as the pages show it, and its title."""

    def dispatch(self, request, *args, **kwargs):
        pick_up_lost()
        return super().dispatch(request, *args, **kwargs)


class ChooseClip(ChooseView):
    """The dialogue in which a video is chosen, or a new one added."""

    def get(self, request):
        pick_up_lost()
        return super().get(request)


class ClipChooserViewSet(SnippetChooserViewSet):
    """Chooses a video for a step or a fault."""

    choose_view_class = ChooseClip
    creation_form_class = ClipForm
    creation_tab_label = gettext_lazy("Add a video")
    create_action_label = gettext_lazy("Add")
    create_action_clicked_label = gettext_lazy("Taking it in…")


def length_of(clip):
    """Return the length of a clip with its unit; empty while it is not known."""
    if not clip.is_ready:
        return ""
    return _("%(seconds)s s") % {"seconds": number_format(clip.length_s, 0)}


def size_of(clip):
    """Return the size of a clip with its unit; empty while it is not known."""
    if not clip.is_ready:
        return ""
    return _("%(kilobytes)s kB") % {"kilobytes": number_format(clip.size_bytes / 1000, 0)}


class ClipViewSet(SnippetViewSet):
    """Short videos."""

    model = Clip
    icon = "media"
    menu_label = gettext_lazy("Videos")
    menu_name = "clips"
    menu_order = 310
    add_to_admin_menu = True
    url_prefix = "videos"
    url_namespace = "clips"
    copy_view_enabled = False
    inspect_view_enabled = False
    index_view_class = ClipIndex
    edit_view_class = ClipEdit
    chooser_viewset_class = ClipChooserViewSet
    list_per_page = 50
    list_display = [
        "title",
        Column("standing", label=gettext_lazy("State")),
        Column("length", label=gettext_lazy("Length"), accessor=length_of),
        Column("size", label=gettext_lazy("Size"), accessor=size_of),
    ]
    edit_handler = ObjectList(
        [
            HelpPanel(template="training/admin/_clip.html", heading=gettext_lazy("Video")),
            FieldPanel("title"),
            FieldPanel("film"),
        ],
        base_form_class=ClipForm,
    )
