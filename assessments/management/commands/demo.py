"""``manage.py demo``: an invented house to look around in, never beside real people."""

import os
import sys

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from wagtail.models import Collection, Locale, Page, Site

from assessments.demo_house import names
from assessments.demo_house.build import build_house
from training.catalogues import other_languages
from training.models import Branch, ModuleIndexPage, Style, User

# Sign-in name, what this person is, where to begin.
SIGN_INS = (
    (
        "tamsa",
        gettext_lazy("trainee, just starting"),
        gettext_lazy("Modules: the first one is begun"),
    ),
    (
        "joric",
        gettext_lazy("trainee, a batch open, its timer running"),
        gettext_lazy("Today, then Batches"),
    ),
    (
        "edda",
        gettext_lazy("trainee, signed off for one style"),
        gettext_lazy("Batches: one style held, another practised"),
    ),
    (
        "isbel",
        gettext_lazy("head chef of Ilvenbridge, and editor"),
        gettext_lazy("Waiting, then Cooks: Lune can be signed off"),
    ),
    (
        "ressa",
        gettext_lazy("head chef of Sallowfen, a school"),
        gettext_lazy("Cooks: for each pattern one who shows it"),
    ),
    ("maruk", gettext_lazy("owner"), gettext_lazy("Readiness: Low Harkle opens soon")),
    ("vella", gettext_lazy("editor"), gettext_lazy("Edit: a draft of the thick wheat standard")),
)
WILDCARD_HOSTS = {"0.0.0.0", "::"}  # noqa: S104  # recognised, never chosen


class Command(BaseCommand):
    """Builds the demo house once and, with ``--serve``, serves it."""

    help = "Build an invented house with people, standards and practice, and serve it."

    def add_arguments(self, parser):
        parser.add_argument("--serve", action="store_true", help="Serve it until stopped.")
        parser.add_argument("--host", default="127.0.0.1", help="Address to serve at.")
        parser.add_argument("--port", type=int, default=8000, help="Port to serve at.")
        parser.add_argument(
            "--fresh", action="store_true", help="Throw the demo house away and build it anew."
        )

    def handle(self, *, serve, host, port, fresh, **options):
        if settings.PRODUCTION:
            raise CommandError(
                _("PRODUCTION is on. The demo house has known passwords: it is never built there.")
            )
        # Before the migrations: a house of real people is not even migrated from here.
        refuse_real_people(fresh=fresh)
        call_command("migrate", verbosity=0, interactive=False)
        if fresh and User.objects.exists():
            self.stdout.write(_("Throwing the demo house away."))
            empty_database()
        if User.objects.exists():
            self.stdout.write(_("The demo house is there; --fresh builds it anew as of today."))
        else:
            build_house(languages=other_languages())
            self.stdout.write(_("The demo house is built."))
        show_at(host, port)
        call_command("collectstatic", verbosity=0, interactive=False)
        self.stdout.write(guide(host, port, serve=serve))
        if serve:
            self.stdout.flush()
            become_server(host, port)


def refuse_real_people(*, fresh):
    """Raise ``CommandError`` when the database holds another house than the demo.

    Whoever tries the demo may enter people or bring in readings: a house with all of its own
    people is still the demo and can be served. It is thrown away only while nobody else can sign
    in.
    """
    if User._meta.db_table not in connection.introspection.table_names():
        return
    others = User.objects.exclude(username__in=names.USERNAMES).order_by("pk")
    of_the_demo = User.objects.filter(username__in=names.USERNAMES).count()
    if of_the_demo == len(names.USERNAMES):
        others = others.filter(is_active=True) if fresh else others.none()
    first = others.values_list("username", flat=True).first()
    if first is not None:
        raise CommandError(
            _(
                "This database holds people who are not of the demo house: %(count)s, the first "
                "of them signs in as %(name)s. Nothing was changed. Give the demo a database of "
                "its own, for example DATABASE_URL=sqlite:///demo.sqlite3."
            )
            % {"count": others.count(), "name": first}
        )
    if not User.objects.exists() and (Branch.objects.exists() or Style.objects.exists()):
        raise CommandError(
            _(
                "This database holds branches or styles of another house. Nothing was changed. "
                "Give the demo a database of its own, for example "
                "DATABASE_URL=sqlite:///demo.sqlite3."
            )
        )


def empty_database():
    """Delete every row; the tables and their triggers stay.

    What Wagtail's migrations put there for every site is written again.
    """
    call_command("flush", verbosity=0, interactive=False)
    Locale.objects.create(language_code=settings.LANGUAGE_CODE)
    Collection.add_root(name="Root")
    Page.add_root(title="Root", slug="root")


def show_at(host, port):
    """Make the list of modules the root of the site at this address."""
    site = Site.objects.get(is_default_site=True)
    site.hostname = "localhost" if host in WILDCARD_HOSTS else host
    site.port = port
    site.root_page = ModuleIndexPage.objects.get(locale=Locale.get_default()).page_ptr
    site.site_name = names.HOUSE
    site.save()


def guide(host, port, *, serve):
    """Return what to do next: the address, the sign-ins, what to look at first."""
    address = f"http://{'localhost' if host in WILDCARD_HOSTS else host}:{port}/"
    where = {"address": address, "command": "python manage.py demo --serve"}
    lines = [
        "",
        _("%(house)s: an invented house, nobody in it is real.") % {"house": names.HOUSE},
        (
            _("Open %(address)s (Ctrl+C stops it).") % where
            if serve
            else _("Serve it with %(command)s, then open %(address)s.") % where
        ),
        _("The password is %(password)s for everybody.") % {"password": names.PASSWORD},
        "",
        _("Sign in as"),
    ]
    width = max(len(role) for _name, role, _first in SIGN_INS)
    lines += [f"  {name:<6}  {role!s:<{width}}  {first}" for name, role, first in SIGN_INS]
    return "\n".join([*lines, ""])


def become_server(host, port):
    """Replace this process by the web server, which serves files by their hashed names."""
    if host not in WILDCARD_HOSTS:
        allowed = [*settings.ALLOWED_HOSTS, host]
        os.environ["ALLOWED_HOSTS"] = ",".join(dict.fromkeys(allowed))
    connection.close()
    bind = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    command = [sys.executable, "-m", "gunicorn", "training.wsgi", "--bind", bind]
    command += ["--workers", "2", "--threads", "4", "--log-level", "warning"]
    command += ["--no-control-socket"]  # nothing outside the checkout
    os.chdir(settings.BASE_DIR)
    os.execv(sys.executable, command)  # noqa: S606  # the arguments are listed above
