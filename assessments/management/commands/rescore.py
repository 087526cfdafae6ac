"""Score batches again, and look for their patterns, after a formula or a rule has changed."""

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _
from tqdm import tqdm

from assessments.actions.rescore import cooks_to_rescore, rescore_cook


class Command(BaseCommand):
    help = (
        "Score again every batch whose score is not of the present formula and rule, and look for "
        "patterns where none were looked for, or by an earlier version. "
        "Each cook is stored as soon as done: stopped and started again, it goes on from there. "
        "Sign-offs keep the evidence they were given on."
    )

    def add_arguments(self, parser):
        parser.add_argument(
            "--all",
            action="store_true",
            help="score every batch again, for example after a change of the house rules",
        )
        parser.add_argument(
            "--after",
            type=int,
            default=0,
            metavar="COOK",
            help="go on after the cook with this number, where a run with --all was stopped",
        )

    def handle(self, *args, **options):
        everything, last = options["all"], options["after"]
        cooks = cooks_to_rescore(everything=everything, after=last)
        looked_at = changed = searched = 0
        with tqdm(total=sum(n for _cook, n in cooks), unit="batch", disable=None) as progress:
            try:
                for cook_id, due in cooks:
                    result = rescore_cook(cook_id, everything=everything)
                    looked_at += result.looked_at
                    changed += result.changed
                    searched += result.searched
                    last = cook_id
                    progress.update(due)
            except KeyboardInterrupt as stop:
                raise CommandError(self.how_to_go_on(everything, last), returncode=130) from stop
        self.stdout.write(
            _(
                "%(looked_at)d batches scored again, %(changed)d of them came out differently. "
                "Patterns looked for anew in %(searched)d."
            )
            % {"looked_at": looked_at, "changed": changed, "searched": searched}
        )

    def how_to_go_on(self, everything, last):
        again = f"rescore --all --after {last}" if everything else "rescore"
        return _("Stopped; what is done is kept. Go on with: manage.py %(again)s") % {
            "again": again
        }
