"""Styles, branches and stations in the editor."""

from wagtail.admin.panels import FieldPanel
from wagtail.admin.viewsets.model import ModelViewSet

from training.models import Branch, Station, Style


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
    ]
