"""A person of the house."""

from functools import cached_property

from django.conf import settings
from django.contrib.auth.models import AbstractUser, UserManager
from django.db import models
from django.utils.translation import gettext_lazy as _


class PersonQuerySet(models.QuerySet):
    """People as the pages ask for them."""

    def cooks_of(self, branches):
        """Return the active people who practise in one of ``branches`` (ids), by name."""
        return self.filter(
            is_active=True, roles__kind="trainee", roles__branch__in=branches
        ).order_by("first_name", "last_name", "pk")


class PersonManager(UserManager.from_queryset(PersonQuerySet)):  # type: ignore[misc]
    """Makes people; the queryset's methods are there as well."""


class User(AbstractUser):
    """One person, who may hold several roles."""

    language = models.CharField(
        _("language"),
        max_length=12,
        choices=settings.LANGUAGES,
        blank=True,
        help_text=_("In which this person reads; empty for that of the browser."),
    )

    weekly_digest = models.BooleanField(
        _("weekly digest by mail"),
        default=False,
        help_text=_(
            "Once a week what waits, who is stuck and what changed; head chefs and owners."
        ),
    )
    digest_sent_on = models.DateField(null=True, editable=False)

    objects = PersonManager()  # type: ignore[misc]

    def __str__(self):
        return self.get_full_name() or self.username

    @cached_property
    def held_roles(self):
        """All roles of this person with their branches, read once a request."""
        return list(self.roles.select_related("branch").order_by("kind", "branch__name"))

    def _branch_ids(self, kind):
        return [role.branch_id for role in self.held_roles if role.kind == kind]

    @property
    def headed_branch_ids(self):
        """Ids of the branches where this person is head chef."""
        return self._branch_ids("head_chef")

    @property
    def home_branch_ids(self):
        """Ids of the branches where this person practises."""
        return self._branch_ids("trainee")

    @property
    def is_trainee(self):
        return bool(self.home_branch_ids)

    @property
    def is_head_chef(self):
        return bool(self.headed_branch_ids)

    @property
    def is_owner(self):
        return any(role.kind == "owner" for role in self.held_roles)

    @property
    def is_editor(self):
        return any(role.kind == "editor" for role in self.held_roles)
