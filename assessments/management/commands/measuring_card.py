"""Write the measuring card as a PDF, to be printed at 100 %."""

from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import translation
from django.utils.translation import gettext as _

from assessments.charts.card_pdf import (
    PAPERS,
    FontUnreadableError,
    LettersMissingError,
    measuring_card_pdf,
)


class Command(BaseCommand):
    help = (
        "Write the measuring card, on which strands are photographed, as a PDF with a how-to on "
        "its second page. A file of that name is written over. Print it at 100 % and check its "
        "100 mm bar with a ruler."
    )

    def add_arguments(self, parser):
        parser.add_argument("out", type=Path, metavar="OUT.pdf")
        parser.add_argument(
            "--paper",
            choices=PAPERS,
            default="a4",
            help="a4 (297 x 210 mm, unless another is chosen) or letter (11 x 8.5 in)",
        )
        parser.add_argument(
            "--language",
            choices=dict(settings.LANGUAGES),
            default=settings.LANGUAGE_CODE,
            help="language of the how-to (%(default)s, unless another is chosen)",
        )
        parser.add_argument(
            "--font",
            type=Path,
            metavar="FILE.ttf",
            default=settings.PDF_FONT,
            help="font of the how-to, for languages whose letters the built-in one lacks",
        )

    def handle(self, *args, **options):
        path = options["out"]
        pdf = self.drawn(options["paper"], options["language"], options["font"])
        try:
            path.write_bytes(pdf)
        except FileNotFoundError as error:
            raise CommandError(
                _("There is no folder %(folder)s. Make it first, or name another.")
                % {"folder": path.parent}
            ) from error
        except IsADirectoryError as error:
            raise CommandError(
                _("%(path)s is a folder. Name the file to write in it, such as %(file)s.")
                % {"path": path, "file": path / "card.pdf"}
            ) from error
        except OSError as error:
            raise CommandError(
                _("%(path)s cannot be written: %(why)s.") % {"path": path, "why": error.strerror}
            ) from error
        self.stdout.write(
            _("%(path)s is written. Print it at 100 %% and check its bar: 100 mm on a ruler.")
            % {"path": path}
        )

    def drawn(self, paper, language, font):
        try:
            with translation.override(language):
                return measuring_card_pdf(PAPERS[paper], font=font)
        except LettersMissingError as error:
            raise CommandError(
                _(
                    "The font lacks letters of this language: %(letters)s. Name a font file that "
                    "has them with --font."
                )
                % {"letters": error.letters}
            ) from error
        except FontUnreadableError as error:
            raise CommandError(
                _("%(path)s cannot be read as a font. Name a TrueType or OpenType file.")
                % {"path": font}
            ) from error
