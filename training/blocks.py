"""What a module is made of: steps, numbers, timers, cautions, faults and check questions."""

from decimal import Decimal
from functools import cache
from typing import NamedTuple

from django.conf import settings
from django.core.exceptions import ValidationError
from django.forms import CheckboxSelectMultiple
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from wagtail import blocks
from wagtail.blocks.list_block import ListBlockValidationError
from wagtail.blocks.stream_block import StreamBlockValidationError
from wagtail.blocks.struct_block import StructBlockValidationError
from wagtail.images.blocks import ImageChooserBlock
from wagtail.snippets.blocks import SnippetChooserBlock

from training.glossary import FIELDS
from training.numbers import KEYS, LABELS, unknown_keys
from training.signs import LIKELY, SIGNS
from training.summaries import shown_standard

CAUTIONS = [
    ("knife", gettext_lazy("Knife")),
    ("wet_floor", gettext_lazy("Wet floor")),
    ("flour_dust", gettext_lazy("Flour dust")),
    ("lifting", gettext_lazy("Lifting")),
    ("allergens", gettext_lazy("Allergens")),
    ("raw_flour", gettext_lazy("Raw flour")),
    ("feet_and_film", gettext_lazy("Feet and film")),
    ("boiling_water", gettext_lazy("Boiling water")),
    ("warm_food", gettext_lazy("Food left warm")),
    ("chemicals", gettext_lazy("Chemicals")),
]
TIMER_SOURCES = [
    ("rest", gettext_lazy("Rest of the house standard")),
    ("tread", gettext_lazy("Treading or kneading of the house standard")),
    ("boil", gettext_lazy("Boil time of the house standard")),
    ("own", gettext_lazy("Minutes of its own")),
]


NO_WORDS = {name: () for names in FIELDS.values() for name in names}


DRAWINGS = settings.BASE_DIR / "media" / "illustrations"
# Stands in the files of drawings that can move, and behind the address of one that shall.
MOVING = "moving"


@cache
def drawings():
    """Return the names of the house's line drawings, as choices."""
    names = sorted(path.stem for path in DRAWINGS.glob("*.svg"))
    return [(name, name.replace("-", " ")) for name in names]


@cache
def moving_drawings():
    """Return the names of the drawings that can move."""
    paths = DRAWINGS.glob("*.svg")
    return frozenset(path.stem for path in paths if f'id="{MOVING}"' in path.read_text())


class NumbersInText:
    """Text that may carry numbers of the house standard or of food safety: ``{{thickness}}``."""

    def clean(self, value):
        value = super().clean(value)
        unknown = unknown_keys(value)
        if unknown:
            raise ValidationError(
                _("“%(key)s” is no number of the house. Use one of: %(known)s."),
                params={"key": unknown[0], "known": ", ".join(KEYS)},
                code="unknown_number",
            )
        return value


class StandardTextBlock(NumbersInText, blocks.TextBlock):
    """Paragraphs with numbers of the house."""


class StandardCharBlock(NumbersInText, blocks.CharBlock):
    """One line with numbers of the house."""


def standard_text(label, help_text=""):
    """Return a text field whose help says how a number of the standard is written."""
    hint = gettext_lazy("Write {{thickness}} for the number of the style that is being read.")
    return StandardTextBlock(label=label, help_text=help_text or hint, rows=3, max_length=1200)


class HouseBlock(blocks.StructBlock):
    """A block that knows the numbers of the house also where it is shown alone.

    ``words`` are the words of the trade to explain, by the name of the field.
    """

    def get_context(self, value, parent_context=None):
        context = super().get_context(value, parent_context=parent_context)
        if "standard" not in context:
            context["standard"] = shown_standard(None)
        item = context.get("item")
        context["words"] = NO_WORDS | (item.words if item else {})
        return context


PICTURES = ("drawing", "photo", "clip")


def check_picture(block, value, *, required):
    """Refuse a picture that is missing, double, not ready or not described, each at its field.

    Only publishing asks: a draft may lack one, and may have both while one takes the other's place.
    """
    if block.is_deferred_validation:
        return
    errors = {}
    chosen = [name for name in PICTURES if value.get(name)]
    for name in chosen[1:]:
        errors[name] = ValidationError(
            _("Choose a drawing, a photo or a video: there is room for one picture."), code="both"
        )
    if required and not chosen:
        errors["drawing"] = ValidationError(
            _("Choose a drawing here, or a photo or a video below."), code="no_picture"
        )
    if chosen == ["clip"] and not value["clip"].is_ready:
        errors["clip"] = ValidationError(value["clip"].standing, code="not_ready")
    if chosen and not value["picture_alt"].strip():
        errors["picture_alt"] = ValidationError(
            _("Say what the picture shows, for those who do not see it."), code="no_alt"
        )
    if errors:
        raise StructBlockValidationError(block_errors=errors)


class NamesBlock(blocks.ChoiceBlock):
    """A choice among very many names."""

    def normalize_choice(self, value):
        """Return a name as it is: it is text in the list, too, which is long to go through."""
        return value


def drawing_field():
    """Return the choice of one of the house's drawings."""
    return NamesBlock(
        choices=drawings,
        required=False,
        label=gettext_lazy("line drawing"),
        help_text=gettext_lazy("One of the house's own drawings, by its name."),
        # A file's name says nothing to who searches, and the list of all is slow to go through.
        search_index=False,
    )


def photo_field():
    """Return the choice of a photo."""
    return ImageChooserBlock(
        required=False,
        label=gettext_lazy("or a photo"),
        help_text=gettext_lazy(
            "From the pictures of the house. People in it have agreed to be shown."
        ),
    )


def clip_field():
    """Return the choice of a short video."""
    return SnippetChooserBlock(
        "training.Clip",
        required=False,
        label=gettext_lazy("or a short video"),
        help_text=gettext_lazy(
            "From the videos of the house, without sound. People in it have agreed to be shown."
        ),
    )


def alt_field():
    """Return the description of a picture."""
    return blocks.CharBlock(
        required=False,
        max_length=250,
        label=gettext_lazy("what the picture shows"),
        help_text=gettext_lazy(
            "One or two sentences for those who do not see it: hands, dough, motion."
        ),
    )


class PictureBlock(HouseBlock):
    """A block with one picture."""

    def get_context(self, value, parent_context=None):
        context = super().get_context(value, parent_context=parent_context)
        if value.get("drawing") in moving_drawings():
            context["moving"] = f"#{MOVING}"
        return context


class StepBlock(PictureBlock):
    """One thing to do, with one picture."""

    title = blocks.CharBlock(
        label=gettext_lazy("title"),
        max_length=80,
        help_text=gettext_lazy("What to do, in a few words: “Fold it in three”."),
    )
    drawing = drawing_field()
    photo = photo_field()
    clip = clip_field()
    picture_alt = alt_field()
    do = standard_text(gettext_lazy("what to do"))
    look_feel = standard_text(
        gettext_lazy("what to look and feel for"),
        gettext_lazy("The signs that it is right: crumbly, springy, silent under the knife."),
    )

    def clean(self, value):
        value = super().clean(value)
        check_picture(self, value, required=True)
        return value

    class Meta:
        icon = "list-ol"
        label = gettext_lazy("Step")
        description = gettext_lazy("One thing to do, with one picture. One screen on a phone.")
        template = "training/blocks/step.html"
        preview_value = {
            "title": "Check corners, edges and middle",
            "drawing": "roll-points",
            "photo": None,
            "clip": None,
            "picture_alt": "A square sheet with nine points in a grid.",
            "do": "Pinch the sheet lightly at each point. The house wants {{thickness}}.",
            "look_feel": "Your thumb and finger feel no step from point to point.",
        }


class NumbersBlock(HouseBlock):
    """Numbers of the house standard in force, shown live."""

    names = blocks.MultipleChoiceBlock(
        choices=list(LABELS.items()),
        widget=CheckboxSelectMultiple,
        label=gettext_lazy("numbers"),
        help_text=gettext_lazy(
            "They come from the house standard in force of the style that is being read."
        ),
    )

    class Meta:
        icon = "table"
        label = gettext_lazy("Numbers")
        description = gettext_lazy("Numbers of the house standard. They are never typed by hand.")
        template = "training/blocks/numbers.html"
        preview_value = {"names": ["hydration", "thickness", "width"]}


class Length(NamedTuple):
    """How long a timer runs."""

    minutes: Decimal
    seconds: int


class TimerBlock(HouseBlock):
    """A timer that runs by the wall clock."""

    label = blocks.CharBlock(
        label=gettext_lazy("what it times"),
        max_length=60,
        help_text=gettext_lazy("For example: “First rest, covered”."),
    )
    source = blocks.ChoiceBlock(
        choices=TIMER_SOURCES, default="rest", label=gettext_lazy("how long")
    )
    minutes = blocks.DecimalBlock(
        required=False,
        min_value=Decimal("0.1"),
        max_value=2880,
        decimal_places=1,
        label=gettext_lazy("minutes"),
        help_text=gettext_lazy("Only for a timer with minutes of its own."),
    )

    def clean(self, value):
        value = super().clean(value)
        own = value["source"] == "own"
        if own and value["minutes"] is None and not self.is_deferred_validation:
            message = _("Say how many minutes the timer runs.")
        elif not own and value["minutes"] is not None:
            message = _("Leave this empty: the minutes come from the house standard.")
        else:
            return value
        raise StructBlockValidationError(
            block_errors={"minutes": ValidationError(message, code="minutes")}
        )

    def get_context(self, value, parent_context=None):
        context = super().get_context(value, parent_context=parent_context)
        if value["source"] == "own":
            lengths = (value["minutes"],) if value["minutes"] else ()
        else:
            lengths = context["standard"].minutes(value["source"])
        context["lengths"] = [Length(minutes, int(minutes * 60)) for minutes in lengths]
        return context

    class Meta:
        icon = "time"
        label = gettext_lazy("Timer")
        description = gettext_lazy("Counts down, also while the phone is locked.")
        template = "training/blocks/timer.html"
        preview_value = {"label": "Rest, covered", "source": "own", "minutes": 30}


class CautionBlock(HouseBlock):
    """What can hurt someone at this point."""

    kind = blocks.ChoiceBlock(choices=CAUTIONS, label=gettext_lazy("about"))
    text = StandardTextBlock(
        label=gettext_lazy("caution"),
        rows=3,
        max_length=600,
        help_text=gettext_lazy(
            "What can happen and what to do. Local law and licensed advice come first."
        ),
    )

    def get_context(self, value, parent_context=None):
        context = super().get_context(value, parent_context=parent_context)
        context["kind"] = dict(CAUTIONS).get(value["kind"], "")
        return context

    class Meta:
        icon = "warning"
        label = gettext_lazy("Caution")
        description = gettext_lazy("Stands where somebody can get hurt or ill, in vermilion.")
        template = "training/blocks/caution.html"
        preview_value = {
            "kind": "knife",
            "text": "Carry the knife with the edge down. Never catch a knife that falls.",
        }


class FaultBlock(PictureBlock):
    """What goes wrong: how it looks, how to tell it from others, why, and the remedy."""

    see = standard_text(gettext_lazy("what you see"))
    tell = standard_text(
        gettext_lazy("how to tell"),
        gettext_lazy("What sets it apart from a fault that looks alike."),
    )
    cause = standard_text(gettext_lazy("cause"))
    remedy = standard_text(gettext_lazy("remedy"))
    signs = blocks.MultipleChoiceBlock(
        choices=list(SIGNS.items()),
        required=False,
        widget=CheckboxSelectMultiple,
        label=gettext_lazy("found under"),
        help_text=gettext_lazy("By what a cook sees, on the page “It went wrong”."),
    )
    likely = blocks.ChoiceBlock(
        choices=list(LIKELY.items()),
        default="sometimes",
        label=gettext_lazy("how likely"),
        help_text=gettext_lazy("Usual causes come first on that page."),
    )
    step = blocks.CharBlock(
        required=False,
        max_length=80,
        label=gettext_lazy("step where it begins"),
        help_text=gettext_lazy("The title of that step of this module, as it stands there."),
    )
    drawing = drawing_field()
    photo = photo_field()
    clip = clip_field()
    picture_alt = alt_field()

    def clean(self, value):
        value = super().clean(value)
        check_picture(self, value, required=False)
        return value

    class Meta:
        icon = "cross"
        label = gettext_lazy("Fault")
        description = gettext_lazy("What goes wrong, how to tell it, why, and the remedy.")
        template = "training/blocks/fault.html"
        preview_value = {
            "see": "The rim is thicker than the rest.",
            "tell": "All edge points read high, and the middle is right.",
            "cause": "Each stroke stopped too far from the edge.",
            "remedy": "Roll the last part of each stroke out to the rim with light weight.",
            "signs": ["thick-places"],
            "likely": "often",
            "step": "",
            "drawing": "fault-thick-edge",
            "photo": None,
            "clip": None,
            "picture_alt": "A cut through a sheet. Its left edge rises above a dashed line.",
        }


class AnswerBlock(blocks.StructBlock):
    """One answer of a check question."""

    text = StandardCharBlock(label=gettext_lazy("answer"), max_length=160)
    correct = blocks.BooleanBlock(required=False, label=gettext_lazy("this is the right one"))

    class Meta:
        label = gettext_lazy("Answer")
        icon = "tick"


class QuestionBlock(HouseBlock):
    """A question to check oneself, with the reason shown after answering."""

    prompt = StandardTextBlock(
        label=gettext_lazy("question"),
        rows=2,
        max_length=300,
        help_text=gettext_lazy("Ask for a judgement at the bench, not for a number by heart."),
    )
    answers = blocks.ListBlock(
        AnswerBlock(),
        min_num=2,
        max_num=6,
        label=gettext_lazy("answers"),
        help_text=gettext_lazy("Exactly one of them is right."),
    )
    why = StandardTextBlock(
        label=gettext_lazy("why"),
        rows=2,
        max_length=600,
        help_text=gettext_lazy("Shown after each answer, right or wrong."),
    )

    def clean(self, value):
        value = super().clean(value)
        right = sum(bool(answer["correct"]) for answer in value["answers"])
        if right > 1 or (right == 0 and not self.is_deferred_validation):
            error = ValidationError(_("Mark exactly one answer as the right one."), code="correct")
            raise StructBlockValidationError(
                block_errors={"answers": ListBlockValidationError(non_block_errors=[error])}
            )
        return value

    class Meta:
        icon = "help"
        label = gettext_lazy("Check question")
        description = gettext_lazy("A question to check oneself. It counts for the sign-off.")
        template = "training/blocks/question.html"
        preview_value = {
            "prompt": "The top crumbs are moist, the floor of the bowl is white. What now?",
            "answers": [
                {"text": "Add a little water.", "correct": False},
                {"text": "Lift from the bottom and rub again.", "correct": True},
            ],
            "why": "The right water is in the bowl already. It is just not spread.",
        }


def unknown_step(titles):
    """Return the error of a fault that names a step which the module does not have."""
    return ValidationError(
        _("This module has no step of that title. It has: %(titles)s."),
        params={"titles": ", ".join(sorted(titles))},
        code="unknown_step",
    )


class ModuleBody(blocks.StreamBlock):
    """The body of a module, in the order of work."""

    step = StepBlock()
    numbers = NumbersBlock()
    timer = TimerBlock()
    caution = CautionBlock()
    fault = FaultBlock()
    question = QuestionBlock()

    def clean(self, value, *args, **kwargs):
        value = super().clean(value, *args, **kwargs)
        titles = {block.value["title"] for block in value if block.block_type == "step"}
        errors = {
            place: StructBlockValidationError(block_errors={"step": unknown_step(titles)})
            for place, block in enumerate(value)
            if block.block_type == "fault" and block.value["step"] not in titles | {""}
        }
        if errors and not self.is_deferred_validation:
            raise StreamBlockValidationError(block_errors=errors)
        return value

    class Meta:
        min_num = 1
        max_num = 80
        block_counts = {
            "step": {"min_num": 1, "max_num": 20},
            "fault": {"max_num": 15},
            "question": {"max_num": 15},
        }
