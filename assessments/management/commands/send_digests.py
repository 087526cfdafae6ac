"""Send the weekly digest to those who asked for it; meant to run once a day or once a week."""

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone, translation
from django.utils.translation import ngettext

from assessments.actions.digest import due_for_digest, send_once
from assessments.pages.digest import digest_mail, language_of
from assessments.summaries.digest import digest_of


class Command(BaseCommand):
    help = (
        "Send the weekly digest to head chefs and owners who asked for it. Nobody gets more than "
        "one in six days, however often this runs; a mail that fails is tried again next time."
    )

    def add_arguments(self, parser):
        parser.add_argument(
            "--dry-run", action="store_true", help="print the mails and send nothing"
        )

    def handle(self, *args, **options):
        today = timezone.localdate()
        sent = failed = 0
        for person in due_for_digest(today).iterator():
            with translation.override(language_of(person)):
                digest = digest_of(person, today=today)
                if digest.is_empty:
                    continue
                message = digest_mail(person, digest)
            if options["dry_run"]:
                self.stdout.write(f"{message.to[0]}\n{message.subject}\n\n{message.body}\n")
                continue
            result = send_once(person, message, today=today)
            sent += result is True
            failed += result is False
        self.stdout.write(
            ngettext("%(sent)d digest sent.", "%(sent)d digests sent.", sent) % {"sent": sent}
        )
        if failed:
            raise CommandError(
                ngettext(
                    "%(failed)d digest could not be sent. Run this again.",
                    "%(failed)d digests could not be sent. Run this again.",
                    failed,
                )
                % {"failed": failed}
            )
