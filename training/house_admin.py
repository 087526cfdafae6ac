"""Styles, branches and stations in the editor."""

from django.forms import CheckboxSelectMultiple
from django.utils.translation import gettext_lazy
from wagtail.admin.panels import FieldPanel
from wagtail.admin.ui.tables import LocaleColumn
from wagtail.admin.viewsets.model import ModelViewSet
from wagtail.snippets.views.snippets import SnippetViewSet

from training.models import Branch, Station, Style, Word


class HouseViewSet(ModelViewSet):
    """A list of few rows with an entry of its own in the menu."""

    add_to_admin_menu = True
    copy_view_enabled = False
    inspect_view_enabled = False
    list_per_page = 50


class StyleViewSet(HouseViewSet):
    """Kinds of noodle."""

    model = Style
    icon = "list-ul"
    menu_order = 300
    ordering = ["position", "name"]
    list_display = ["name", "position"]
    search_fields = ["name"]
    panels = [FieldPanel("name"), FieldPanel("slug"), FieldPanel("position")]


class WordViewSet(SnippetViewSet):
    """Words of the trade, each in the languages of the house."""

    model = Word
    icon = "openquote"
    menu_label = gettext_lazy("Words of the trade")
    menu_name = "words"
    menu_order = 120
    add_to_admin_menu = True
    url_prefix = "words"
    url_namespace = "words"
    copy_view_enabled = False
    inspect_view_enabled = False
    list_per_page = 50
    ordering = ["term"]
    # Some are called the same in several languages.
    list_display = ["term", LocaleColumn(), "script", "reading"]
    panels = [
        FieldPanel("term"),
        FieldPanel("script"),
        FieldPanel("language"),
        FieldPanel("reading"),
        FieldPanel("meaning"),
    ]


class BranchViewSet(HouseViewSet):
    """Places of the house."""

    model = Branch
    icon = "home"
    menu_order = 510
    ordering = ["name"]
    list_display = ["name", "opens_on"]
    panels = [FieldPanel("name"), FieldPanel("slug"), FieldPanel("opens_on")]


class StationViewSet(HouseViewSet):
    """Places at the bench."""

    model = Station
    icon = "grip"
    menu_order = 520
    ordering = ["position", "name"]
    list_display = ["name", "position", "measured"]
    search_fields = ["name"]
    panels = [
        FieldPanel("name"),
        FieldPanel("slug"),
        FieldPanel("position"),
        FieldPanel("measured"),
        FieldPanel("practised"),
        FieldPanel("read_first", widget=CheckboxSelectMultiple),
    ]
