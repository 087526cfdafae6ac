"""Bring the files of translations up to date with the texts, and compile them."""

from django.core.management.base import BaseCommand

from training.catalogue_files import write_catalogues


class Command(BaseCommand):
    help = "For contributors: brings the files of translations up to date, and compiles them."

    def handle(self, **options):
        for path in write_catalogues():
            self.stdout.write(str(path))
