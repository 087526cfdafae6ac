"""Small modules for tests (invented content)."""

from wagtail.images import get_image_model
from wagtail.images.models import Filter

from training.groups import create_index_page
from training.models import Clip, ModuleIndexPage, ModulePage
from training.summaries import PHOTO_SPECS


def step(title="Fold it", **fields):
    value = {
        "title": title,
        "drawing": "cut-fold",
        "photo": None,
        "clip": None,
        "picture_alt": "Two hands fold a sheet.",
        "do": "Fold the sheet. The house wants {{width}}.",
        "look_feel": "It lies flat.",
    }
    return "step", value | fields


def fault(**fields):
    value = {
        "see": "A crease.",
        "tell": "It shows.",
        "cause": "Haste.",
        "remedy": "Dust it.",
        "signs": [],
        "likely": "sometimes",
        "step": "",
        "drawing": "",
        "photo": None,
        "clip": None,
        "picture_alt": "",
    }
    return "fault", value | fields


def question(prompt="The fold cracks. What now?"):
    answers = [
        {"text": "Press harder.", "correct": False},
        {"text": "Let it rest.", "correct": True},
    ]
    return "question", {"prompt": prompt, "answers": answers, "why": "A dry fold needs time."}


def photo():
    """Return a picture of the library with its sizes made, as after the first visit."""
    picture = get_image_model().objects.create(
        title="bench", file="original_images/bench.png", width=640, height=480
    )
    for number, spec in enumerate(Filter.expand_spec(PHOTO_SPECS)):
        name = f"images/bench-{picture.pk}-{number}.png"
        picture.renditions.create(filter_spec=spec, file=name, width=640, height=480)
    return picture


def clip(**fields):
    """Return a video that is ready to be shown, or is what ``fields`` say; there are no files."""
    clip = Clip(title="Fold", width_px=640, height_px=360, length_s=4, size_bytes=200_000)
    clip.state, clip.video, clip.poster = Clip.State.READY, "clips/fold.mp4", "clips/fold.jpg"
    for name, value in fields.items():
        setattr(clip, name, value)
    clip.save()
    return clip


def write_module(station, *, body=None, slug="folding", **fields):
    """Publish a module; by default of two steps, a fault and two questions."""
    body = body or [step(), step("Turn it"), fault(), question(), question("And then?")]
    index = ModuleIndexPage.objects.get(pk=create_index_page().pk)
    texts = {
        "title": "Folding",
        "summary": "How to fold a sheet.",
        "source_note": "Common practice, no source.",
    }
    page = ModulePage(slug=slug, station=station, body=body, **texts | fields)
    index.add_child(instance=page)
    page.save_revision().publish()
    page.refresh_from_db()
    return page
