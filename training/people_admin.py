"""People in the editor: entered by an owner, with their roles in one form."""

from django import forms
from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from wagtail.admin.forms.choosers import BaseFilterForm
from wagtail.admin.ui.tables import BooleanColumn, Column
from wagtail.admin.views.generic.chooser import ChooseResultsView, ChooseView
from wagtail.admin.viewsets.chooser import ChooserViewSet
from wagtail.users.forms import UserForm
from wagtail.users.views.users import (
    CreateView,
    EditView,
    IndexView,
    UserColumn,
    UserFilterSet,
    UserViewSet,
)

from training.models import Branch, Role, User


class PersonForm(UserForm):
    """A person with sign-in name, password and roles."""

    is_superuser = None
    email = forms.EmailField(required=False, label=_("Email"))
    first_name = forms.CharField(label=_("First name"))
    last_name = forms.CharField(required=False, label=_("Last name"))
    trainee_in = forms.ModelMultipleChoiceField(
        queryset=Branch.objects.all(),
        required=False,
        label=_("Trainee in"),
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Logs batches and reads their own record."),
    )
    head_chef_in = forms.ModelMultipleChoiceField(
        queryset=Branch.objects.all(),
        required=False,
        label=_("Head chef in"),
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Sees the cooks of the branch, observes and signs off."),
    )
    is_owner = forms.BooleanField(
        required=False,
        label=_("Owner"),
        help_text=_("Sees every branch; enters people, branches and house rules."),
    )
    is_editor = forms.BooleanField(
        required=False,
        label=_("Editor"),
        help_text=_("Changes modules, pictures and house standards."),
    )

    BRANCH_FIELDS = {"trainee_in": Role.Kind.TRAINEE, "head_chef_in": Role.Kind.HEAD_CHEF}
    HOUSE_FIELDS = {"is_owner": Role.Kind.OWNER, "is_editor": Role.Kind.EDITOR}

    class Meta:
        model = User
        fields = ["username", "first_name", "last_name", "email"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["username"].label = _("Sign-in name")
        self.fields["username"].help_text = _("Letters, digits and @ . + - _ only, no spaces.")
        held = list(self.instance.roles.all()) if self.instance.pk else []
        for name, kind in self.BRANCH_FIELDS.items():
            self.initial[name] = [role.branch_id for role in held if role.kind == kind]
        for name, kind in self.HOUSE_FIELDS.items():
            self.initial[name] = any(role.kind == kind for role in held)

    def wanted_roles(self):
        """Return the chosen roles as pairs of kind and branch id (None for the whole house)."""
        chosen = self.cleaned_data
        return {
            (str(kind), branch.pk)
            for name, kind in self.BRANCH_FIELDS.items()
            for branch in chosen[name]
        } | {(str(kind), None) for name, kind in self.HOUSE_FIELDS.items() if chosen[name]}

    @transaction.atomic
    def _save_m2m(self):
        super()._save_m2m()
        wanted = self.wanted_roles()
        for role in self.instance.roles.all():
            if (role.kind, role.branch_id) in wanted:
                wanted.discard((role.kind, role.branch_id))
            else:
                role.delete()
        for kind, branch_id in sorted(wanted, key=str):
            self.instance.roles.create(kind=kind, branch_id=branch_id, since=timezone.localdate())


class PersonEditForm(PersonForm):
    """An existing person; who has left is no longer active, and the record stays."""

    password_required = False

    class Meta(PersonForm.Meta):
        fields = [*PersonForm.Meta.fields, "is_active"]

    def __init__(self, *args, editing_self=False, **kwargs):
        super().__init__(*args, **kwargs)
        if editing_self:
            # Nobody locks themselves out by a wrong tick.
            for name in ("is_active", "is_owner"):
                self.fields[name].disabled = True


class PeopleFilterSet(UserFilterSet):
    """Filters that mean something in a house."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("is_superuser", "last_login", "group"):
            self.filters.pop(name, None)


class PeopleIndex(IndexView):
    """People by name."""

    page_title = _("People")
    add_item_label = _("Add a person")
    verbose_name = _("person")
    verbose_name_plural = _("people")

    @property
    def columns(self):
        return [
            self._get_title_column_class(UserColumn)(
                "name",
                accessor=str,
                label=_("Name"),
                sort_key="name",
                get_url=self.get_edit_url,
                classname="name",
            ),
            Column("username", label=_("Sign-in name"), sort_key="username"),
            Column("roles", label=_("Roles"), accessor=roles_in_words),
            BooleanColumn("is_active", label=_("Active"), sort_key="is_active"),
        ]

    def get_base_queryset(self):
        return seen_by(self.request.user, super().get_base_queryset()).prefetch_related(
            "roles__branch"
        )


class PersonCreate(CreateView):
    """A new person of the house."""

    page_title = _("Add a person")
    success_message = _("%(object)s can sign in now.")

    def get_page_subtitle(self):
        return _("Person")


class PersonEdit(EditView):
    """A person of the house."""

    success_message = _("%(object)s is saved.")
    error_message = _("The person could not be saved. Look at the fields below.")

    def get_queryset(self):
        return seen_by(self.request.user, super().get_queryset())


def roles_in_words(person):
    """Return the roles of a person in a line."""
    return ", ".join(str(role) for role in person.roles.all())


def seen_by(viewer, people):
    """Leave out those who keep the machine running: an owner must not become one of them."""
    return people if viewer.is_superuser else people.filter(is_superuser=False)


class PeopleViewSet(UserViewSet):
    """The people of the house, in place of Wagtail's users."""

    icon = "group"
    menu_name = "people"
    menu_label = _("People")
    menu_order = 500
    add_to_settings_menu = False
    add_to_admin_menu = True
    copy_view_enabled = False
    inspect_view_enabled = False
    index_view_class = PeopleIndex
    add_view_class = PersonCreate
    edit_view_class = PersonEdit
    filterset_class = PeopleFilterSet

    def get_form_class(self, for_update=False):
        return PersonEditForm if for_update else PersonForm


class PersonFilterForm(BaseFilterForm):
    """Search by name, for a house with many people."""

    q = forms.CharField(required=False, label=_("Name"))

    def filter(self, objects):
        people = super().filter(objects)
        self.search_query = self.cleaned_data.get("q")
        if self.search_query:
            self.is_searching = True
            people = people.filter(
                Q(first_name__icontains=self.search_query)
                | Q(last_name__icontains=self.search_query)
                | Q(username__icontains=self.search_query)
            )
        return people


class _People:
    filter_form_class = PersonFilterForm
    ordering = ["first_name", "last_name", "pk"]

    def get_object_list(self):
        return User.objects.filter(is_active=True)


class ChoosePerson(_People, ChooseView):
    """The dialogue in which a person is chosen."""


class ChoosePersonResults(_People, ChooseResultsView):
    """The part of it that changes while searching."""


class PersonChooserViewSet(ChooserViewSet):
    """Chooses a person by name instead of from a list of thousands."""

    model = User
    icon = "user"
    choose_one_text = _("Choose a person")
    choose_another_text = _("Choose another person")
    choose_view_class = ChoosePerson
    choose_results_view_class = ChoosePersonResults
