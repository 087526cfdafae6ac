"""Short videos of the house, without sound, for steps and faults."""

import secrets

from django.core.files.storage import storages
from django.db import models, transaction
from django.db.models import Q
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.videos import words_of


def make_key():
    """Return what the files of a clip are called: it tells nothing and cannot be guessed."""
    return secrets.token_hex(16)


def video_name(clip, _filename=""):
    """Return the name of the small video, always the same for one clip.

    A second attempt thus writes over what a killed worker left, and deleting finds all.
    """
    return f"clips/{clip.key}.mp4"


def poster_name(clip, _filename=""):
    """Return the name of the picture, see `video_name`."""
    return f"clips/{clip.key}.jpg"


class Clip(models.Model):
    """A video as the pages show it: a small MP4 without sound, and one picture of it.

    Both are made in the background from the video that came, which is deleted afterwards. The
    row says where that stands, see `training.clips`.
    """

    class State(models.TextChoices):
        WAITING = "waiting", gettext_lazy("waits to be made smaller")
        WORKING = "working", gettext_lazy("is being made smaller")
        READY = "ready", gettext_lazy("ready")
        FAILED = "failed", gettext_lazy("cannot be shown")

    title = models.CharField(
        gettext_lazy("title"),
        max_length=80,
        help_text=gettext_lazy("By this name you find it when you choose it for a step."),
    )
    key = models.CharField(max_length=32, default=make_key, unique=True, editable=False)
    added_at = models.DateTimeField(gettext_lazy("added"), default=timezone.now, editable=False)
    video = models.FileField(
        gettext_lazy("video"), upload_to=video_name, max_length=120, blank=True, editable=False
    )
    poster = models.FileField(
        gettext_lazy("picture of it"),
        upload_to=poster_name,
        max_length=120,
        blank=True,
        editable=False,
    )
    width_px = models.PositiveSmallIntegerField(
        gettext_lazy("width, pixels"), default=0, editable=False
    )
    height_px = models.PositiveSmallIntegerField(
        gettext_lazy("height, pixels"), default=0, editable=False
    )
    length_s = models.FloatField(gettext_lazy("length, s"), default=0, editable=False)
    size_bytes = models.PositiveIntegerField(gettext_lazy("size, bytes"), default=0, editable=False)
    state = models.CharField(
        gettext_lazy("state"),
        max_length=7,
        choices=State.choices,
        default=State.WAITING,
        editable=False,
    )
    queued_at = models.DateTimeField(default=timezone.now, editable=False)
    working_since = models.DateTimeField(null=True, editable=False)
    attempts = models.PositiveSmallIntegerField(default=0, editable=False)
    reason = models.CharField(
        max_length=16, blank=True, editable=False, help_text="A code of training.videos.Reason."
    )

    class Meta:
        ordering = ["title", "pk"]
        verbose_name = gettext_lazy("video")
        verbose_name_plural = gettext_lazy("videos")
        constraints = [
            models.CheckConstraint(
                name="clip_ready_has_files",
                condition=~Q(state="ready") | (~Q(video="") & ~Q(poster="")),
            ),
            models.CheckConstraint(
                name="clip_working_has_time",
                condition=~Q(state="working") | Q(working_since__isnull=False),
            ),
            models.CheckConstraint(
                name="clip_failed_has_reason", condition=~Q(state="failed") | ~Q(reason="")
            ),
        ]

    def __str__(self):
        if self.is_ready:
            return self.title
        # Where an editor has chosen it, this is all that stands there.
        return _("%(title)s: %(state)s") % {
            "title": self.title,
            "state": self.get_state_display(),
        }

    @property
    def is_ready(self):
        return self.state == self.State.READY

    @property
    def standing(self):
        """How it stands, in a sentence for the editor."""
        if self.state == self.State.FAILED:
            return words_of(self.reason)
        if self.is_ready:
            return _("Ready to be shown.")
        return _("This video is still being made smaller. Load the page again in a minute.")

    @property
    def source_storage(self):
        """Where a video lies until it is made small: no address of the site leads there."""
        return storages["photographs"]

    @property
    def source_name(self):
        return f"clips/{self.key}"

    def delete_source(self):
        """Delete the film that came."""
        self.source_storage.delete(self.source_name)

    def delete_files(self):
        """Delete all files: by name, not by column, for a killed worker may have written them."""
        self.delete_source()
        for field in (self.video, self.poster):
            field.storage.delete(field.field.generate_filename(self, ""))


@receiver(post_delete, sender=Clip, dispatch_uid="delete_files_of_clip")
def delete_files(instance, **_kwargs):
    """Delete the files of a clip whose row is gone, once that is certain."""
    transaction.on_commit(instance.delete_files)
