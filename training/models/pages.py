"""Technique modules as pages."""

from functools import cached_property
from uuid import UUID

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Exists, F, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _
from wagtail.admin.panels import FieldPanel, HelpPanel, MultiFieldPanel, TitleFieldPanel
from wagtail.fields import StreamField
from wagtail.models import Page, PageManager
from wagtail.query import PageQuerySet
from wagtail.search import index

from training.blocks import ModuleBody
from training.models.house import Station
from training.models.words import Word
from training.summaries import reading_of, safety_sources, shown_standard


class ModuleIndexPage(Page):
    """The list of all modules, by station."""

    max_count = 1
    subpage_types = ["training.ModulePage"]
    parent_page_types = ["wagtailcore.Page"]
    private_page_options = []
    # The list of modules has its own address and shows each person's progress.
    preview_modes = []
    content_panels = [TitleFieldPanel("title"), FieldPanel("slug")]
    promote_panels = []
    settings_panels = []

    class Meta:
        verbose_name = _("list of modules")

    def serve(self, request, *args, **kwargs):
        return redirect("module_index")


SAME_IN_EVERY_LANGUAGE = ("station", "required", "minutes_to_read")


class ModuleQuerySet(PageQuerySet):
    """Modules, of which each may be there in several languages.

    The page that was made first is the original: records of reading hang on it, whatever language
    was read. The others are its translations, with the same blocks under the same ids.
    """

    def originals(self):
        """Return one page for each module: the one that was made first."""
        return self.filter(~Exists(_same_module().filter(pk__lt=OuterRef("pk"))))

    def demanded(self):
        """Return the originals that a sign-off asks for: published and required."""
        return self.originals().live().filter(required=True)

    def in_language(self):
        """Return the published modules in the active language, in the order of the originals.

        A module that is not published in it is there as the original. Each page knows its
        ``original_id``.
        """
        first = _same_module().order_by("pk")
        wanted = Q(locale__language_code=get_language())
        translated = _same_module().filter(wanted, live=True)
        return (
            self.annotate(
                original_id=Subquery(first.values("pk")[:1]),
                original_path=Subquery(first.values("path")[:1]),
            )
            .live()
            .filter(Exists(_same_module().filter(pk=OuterRef("original_id"), live=True)))
            .filter(wanted | (Q(pk=F("original_id")) & ~Exists(translated)))
            .order_by("original_path")
        )

    def told(self, *names):
        """Annotate originals with texts in the active language: ``told_title`` for "title"."""
        other = ModulePage.objects.filter(
            translation_key=OuterRef("translation_key"),
            locale__language_code=get_language(),
            live=True,
        ).order_by()
        return self.annotate(
            **{f"told_{name}": Coalesce(Subquery(other.values(name)[:1]), name) for name in names}
        )


def _same_module():
    """Return the pages of the module that the outer query looks at, in any language."""
    return Page.objects.filter(translation_key=OuterRef("translation_key"))


class ModulePage(Page):
    """A technique: steps with pictures, numbers of the standard, faults, cautions, questions."""

    station = models.ForeignKey(
        Station,
        verbose_name=_("station"),
        on_delete=models.PROTECT,
        related_name="modules",
        help_text=_("The station where this technique is used."),
    )
    summary = models.CharField(
        _("what it teaches"), max_length=200, help_text=_("One sentence for the list of modules.")
    )
    minutes_to_read = models.PositiveSmallIntegerField(
        _("minutes to read"),
        default=8,
        validators=[MinValueValidator(1), MaxValueValidator(60)],
        help_text=_("A module that takes more than 10 minutes is better cut in two."),
    )
    required = models.BooleanField(
        _("required before a sign-off"),
        default=True,
        help_text=_("A cook must have read it and answered its questions."),
    )
    body = StreamField(
        ModuleBody(),
        verbose_name=_("steps"),
        help_text=_(
            "In the order of work. Numbers, timers and cautions belong to the step above them. "
            "Faults and check questions come last."
        ),
    )
    source_note = models.TextField(
        _("where the numbers come from"),
        help_text=_("Name the law, standard or book; say where a number is common practice."),
    )

    objects = PageManager.from_queryset(ModuleQuerySet)()

    parent_page_types = ["training.ModuleIndexPage"]
    subpage_types = []
    private_page_options = []
    template = "training/module.html"

    content_panels = [
        TitleFieldPanel(
            "title", help_text=_("The technique in a few words: “Folding and cutting”.")
        ),
        FieldPanel("summary"),
        MultiFieldPanel(
            [FieldPanel("station"), FieldPanel("required"), FieldPanel("minutes_to_read")],
            heading=_("Who reads it"),
        ),
        HelpPanel(template="training/admin/_writing_help.html", heading=_("How to write a module")),
        FieldPanel("body"),
        FieldPanel("source_note"),
        FieldPanel("slug", help_text=_("The last part of the address. Leave it as it is made.")),
    ]
    promote_panels = []
    settings_panels = []
    search_fields = [
        *Page.search_fields,
        index.SearchField("summary"),
        index.SearchField("body"),
        index.FilterField("station"),
    ]

    class Meta:
        verbose_name = _("module")
        verbose_name_plural = _("modules")

    @cached_property
    def original_id(self):
        """The id of the module's first page, on which records of reading hang."""
        return ModulePage.objects.originals().get(translation_key=self.translation_key).pk

    @property
    def original(self):
        return self if self.original_id == self.pk else ModulePage.objects.get(pk=self.original_id)

    def save(self, *args, **kwargs):
        """Save the page; what is no text is the same in every language, as in the original."""
        others = ModulePage.objects.filter(translation_key=self.translation_key)
        if self.pk:
            others = others.exclude(pk=self.pk)
        original = others.originals().first()
        if original and (self.pk is None or original.pk < self.pk):
            for name in SAME_IN_EVERY_LANGUAGE:
                setattr(self, name, getattr(original, name))
        super().save(*args, **kwargs)
        others.update(**{name: getattr(self, name) for name in SAME_IN_EVERY_LANGUAGE})

    @property
    def address(self):
        """The path of the module, known without asking for the site."""
        return reverse("module", args=[self.slug])

    def block_ids(self, kind):
        """Return the ids of all blocks of ``kind`` ("step", "question") in order, as UUIDs."""
        return [UUID(raw["id"]) for raw in self.body.raw_data if raw["type"] == kind and raw["id"]]

    def answers_of(self, question_id):
        """Return the answers of a check question as stored; empty when there is no such one."""
        for block in self.body:
            if block.block_type == "question" and block.id == str(question_id):
                return list(block.value["answers"])
        return []

    def get_context(self, request, *args, **kwargs):
        context = super().get_context(request, *args, **kwargs)
        context["standard"] = shown_standard(request.user, request.GET.get("style", ""))
        context["safety_sources"] = safety_sources(self, context["standard"].region)
        context["reading"] = reading_of(
            self,
            request.user,
            is_recorded=not getattr(request, "is_preview", False),
            empty=request.GET.get("empty", ""),
            words=Word.objects.in_language(),
        )
        return context

    def serve(self, request, *args, **kwargs):
        # Imported here: that module asks for the user model, which is not loaded yet above.
        from django.contrib.auth.views import redirect_to_login

        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        return super().serve(request, *args, **kwargs)
