"""Keep a short video and make it small in the background.

A clip waits, is worked on, and ends ready or failed. As with the photos of strands its row alone
says where it stands: the queue only says that there may be something to do. A worker takes a clip
by writing the moment into ``working_since``, and what it brings counts only while that moment still
stands there. So a task delivered twice works once, and a worker that was killed, or is slower than
it may be, holds nobody up.
"""

import logging
from datetime import timedelta

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone
from django_tasks import task

from training.models import Clip
from training.videos import Reason, VideoError, make_small

logger = logging.getLogger(__name__)

State = Clip.State

LOST_AFTER_S = 180
"""Longer than all of the work may take: whoever has a clip until then has lost it."""
MOST_ATTEMPTS = 3


@transaction.atomic
def keep_clip(clip, data):
    """Save a new clip with the film that `training.videos.take_in` gave, and put it in the queue.

    Parameters
    ----------
    data : bytes
    """
    clip.save(force_insert=True)
    try:
        clip.source_storage.save(clip.source_name, ContentFile(data))
    except BaseException:
        clip.delete_source()
        raise
    _queue(clip.pk)


def _queue(pk):
    transaction.on_commit(lambda: make_clip_small.enqueue(pk))


@task
def make_clip_small(pk):
    """Make the video of a clip small; does nothing where another worker has it."""
    clip = _claim(pk)
    if clip is None:
        return
    try:
        with clip.source_storage.open(clip.source_name) as file:
            small = make_small(file.read())
        made = {
            "video": _store(clip, "video", small.video),
            "poster": _store(clip, "poster", small.poster),
            "width_px": small.width_px,
            "height_px": small.height_px,
            "length_s": small.length_s,
            "size_bytes": len(small.video),
        }
        _settle(clip, state=State.READY, **made)
    except VideoError as error:
        _settle(clip, state=State.FAILED, reason=error.reason.value)
    except Exception:
        logger.exception("Video %s could not be made small", pk)
        _settle(clip, state=State.FAILED, reason=Reason.BROKEN.value)


def _claim(pk):
    """Take the clip for this worker and return it, or None where there is nothing to do."""
    now = timezone.now()
    lost = Q(state=State.WORKING, working_since__lt=_limit(now), attempts__lt=MOST_ATTEMPTS)
    Clip.objects.filter(Q(state=State.WAITING) | lost, pk=pk).update(
        state=State.WORKING, working_since=now, attempts=F("attempts") + 1
    )
    return Clip.objects.filter(pk=pk, state=State.WORKING, working_since=now).first()


def _limit(now):
    return now - timedelta(seconds=LOST_AFTER_S)


def _store(clip, column, data):
    """Store a file under its one name, in place of what a killed worker left; return the name."""
    field = Clip._meta.get_field(column)
    name = field.generate_filename(clip, "")
    field.storage.delete(name)
    saved = field.storage.save(name, ContentFile(data))
    if saved != name:
        field.storage.delete(saved)  # another worker wrote the same a moment ago
    return name


def _settle(clip, **outcome):
    """Write what became of the clip, unless another worker has it; the film that came goes."""
    ours = Clip.objects.filter(pk=clip.pk, state=State.WORKING, working_since=clip.working_since)
    if ours.update(**outcome):
        clip.delete_source()
    elif not Clip.objects.filter(pk=clip.pk).exists():
        # Deleted meanwhile: what was written since goes too.
        clip.delete_files()


def pick_up_lost(*, now=None):
    """Put clips back in the queue whose worker, or whose place in the queue, was lost.

    For the pages of the editor that show where clips stand; of several that ask at once, one does
    it. After ``MOST_ATTEMPTS`` a clip is failed: something in it kills the worker.
    """
    now = now or timezone.now()
    unlucky = Q(state=State.WAITING, queued_at__lt=_limit(now)) | Q(
        state=State.WORKING, working_since__lt=_limit(now)
    )
    for clip in Clip.objects.filter(unlucky):
        same = Clip.objects.filter(
            unlucky, pk=clip.pk, queued_at=clip.queued_at, working_since=clip.working_since
        )
        if clip.attempts < MOST_ATTEMPTS:
            if same.update(state=State.WAITING, queued_at=now):
                _queue(clip.pk)
        elif same.update(state=State.FAILED, reason=Reason.LOST.value):
            logger.error("Video %s was given up after %s attempts", clip.pk, MOST_ATTEMPTS)
            clip.delete_source()
