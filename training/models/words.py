"""Words of the trade."""

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _
from wagtail.models import TranslatableMixin
from wagtail.search import index


class WordQuerySet(models.QuerySet):
    """Words, of which each may be there in several languages."""

    def in_language(self):
        """Return the words in the active language; one that lacks it as it was first written."""
        wanted = Q(locale__language_code=get_language())
        told = Word.objects.filter(wanted, translation_key=OuterRef("translation_key"))
        first = Q(locale__language_code=settings.LANGUAGE_CODE)
        return self.filter(wanted | (first & ~Exists(told)))


class Word(TranslatableMixin, index.Indexed, models.Model):
    """A word of the trade, as it is written where it comes from, how it is said, what it means."""

    term = models.CharField(
        _("word"),
        max_length=60,
        help_text=_("As it stands in the modules: there it leads here."),
    )
    script = models.CharField(
        _("original script"),
        max_length=60,
        blank=True,
        help_text=_("As it is written in the language that it comes from."),
    )
    language = models.CharField(
        _("language of the script"),
        max_length=12,
        default="ja",
        help_text=_("Its code, such as ja for Japanese: a screen reader then says it rightly."),
    )
    reading = models.CharField(
        _("said"), max_length=80, blank=True, help_text=_("In Latin letters, by syllables.")
    )
    meaning = models.TextField(_("meaning"), max_length=400)

    objects = WordQuerySet.as_manager()

    search_fields = [
        index.SearchField("term", boost=3),
        index.SearchField("script"),
        index.SearchField("reading"),
        index.SearchField("meaning"),
        index.FilterField("id"),
        index.FilterField("locale"),
    ]

    class Meta(TranslatableMixin.Meta):
        ordering = ["term"]
        verbose_name = _("word of the trade")
        verbose_name_plural = _("words of the trade")
        constraints = [
            models.UniqueConstraint(
                fields=["locale", "term"],
                name="word_once_in_a_language",
                violation_error_message=_("This word is there already."),
            )
        ]

    def __str__(self):
        return self.term

    @property
    def anchor(self):
        return slugify(self.term) or f"word-{self.pk}"

    @property
    def url(self):
        return f"{reverse('words')}#{self.anchor}"
