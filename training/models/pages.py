"""Technique modules as pages."""

from uuid import UUID

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from wagtail.admin.panels import FieldPanel, HelpPanel, MultiFieldPanel, TitleFieldPanel
from wagtail.fields import StreamField
from wagtail.models import Page
from wagtail.search import index

from training.blocks import ModuleBody
from training.models.house import Station
from training.summaries import reading_of, shown_standard


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
        context["reading"] = reading_of(
            self,
            request.user,
            is_recorded=not getattr(request, "is_preview", False),
            empty=request.GET.get("empty", ""),
        )
        return context

    def serve(self, request, *args, **kwargs):
        # Imported here: that module asks for the user model, which is not loaded yet above.
        from django.contrib.auth.views import redirect_to_login

        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        return super().serve(request, *args, **kwargs)
