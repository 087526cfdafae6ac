"""Make the first owner of a real house, with what every house starts from."""

import getpass
import sys

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.catalogues import other_languages
from training.curriculum_pages import load_curriculum
from training.models import Role, User


class Command(BaseCommand):
    help = "Makes the first owner (asks for a password), the stations and the modules."

    def add_arguments(self, parser):
        parser.add_argument("name", help="the owner's sign-in name")

    def handle(self, *args, name, **options):
        if Role.objects.filter(kind=Role.Kind.OWNER).exists():
            raise CommandError(
                _("This house has an owner, who can enter further people under Edit, People.")
            )
        if User.objects.filter(username=name).exists():
            raise CommandError(_("The sign-in name %(name)s is taken.") % {"name": name})
        person = User(username=name)
        password = self.ask_password(person)
        with transaction.atomic():
            person.set_password(password)
            person.save()
            for kind in (Role.Kind.OWNER, Role.Kind.EDITOR):
                Role.objects.create(person=person, kind=kind, since=timezone.localdate())
            load_curriculum(by=person, languages=other_languages())
        self.stdout.write(
            _("%(name)s can sign in now. Next: branches, people, styles and house standards.")
            % {"name": name}
        )

    def ask_password(self, person):
        """Ask twice at a terminal, or read one line from standard input."""
        if not sys.stdin.isatty():
            password = sys.stdin.readline().rstrip("\n")
        else:
            password = getpass.getpass(_("Password: "))
            if password != getpass.getpass(_("The same again: ")):
                raise CommandError(_("The two passwords differ. Nothing was made."))
        try:
            validate_password(password, person)
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        return password
