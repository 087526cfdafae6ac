"""Rows that are kept as they were written."""

from django.db import models


class KeptQuerySet(models.QuerySet):
    """Rows can be added and read; they are neither changed nor taken away."""

    def update(self, **kwargs):
        raise TypeError("These rows are kept as they were written: add a new one instead.")

    def bulk_update(self, objs, fields, batch_size=None):
        self.update()

    def delete(self):
        raise TypeError("These rows are kept: they cannot be taken away.")


class Kept(models.Model):
    """A row that stays as it was written; database triggers refuse a change as well."""

    objects = KeptQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        if not self._state.adding:
            raise TypeError("This row is kept as it was written: add a new one instead.")
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        raise TypeError("This row is kept: it cannot be taken away.")
