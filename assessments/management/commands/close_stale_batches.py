"""Give up batches that were opened and never measured; meant to run once a day."""

from django.core.management.base import BaseCommand
from django.utils.translation import ngettext

from assessments.actions.log_batch import close_stale_batches


class Command(BaseCommand):
    help = "Give up open batches that are older than the house rules allow."

    def handle(self, *args, **options):
        closed = close_stale_batches()
        self.stdout.write(
            ngettext("%(closed)d batch given up.", "%(closed)d batches given up.", closed)
            % {"closed": closed}
        )
