"""The evidence of a cook in words: one sentence, and one balance for each part."""

from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from assessments.calculations.requirements import SignOffState
from assessments.calculations.standing import State
from assessments.models import Part
from training.names import listed

STATE_WORDS = {
    State.NOT_STARTED: gettext_lazy("not started"),
    State.PRACTISING: gettext_lazy("practising"),
    State.EVIDENCE_COMPLETE: gettext_lazy("evidence complete"),
    State.SIGNED_OFF: gettext_lazy("signed off"),
    State.RENEWAL_DUE: gettext_lazy("renewal due"),
    State.WITHDRAWN: gettext_lazy("withdrawn"),
}

NUMBER_WORDS = (
    gettext_lazy("one"),
    gettext_lazy("two"),
    gettext_lazy("three"),
    gettext_lazy("four"),
    gettext_lazy("five"),
    gettext_lazy("six"),
    gettext_lazy("seven"),
    gettext_lazy("eight"),
    gettext_lazy("nine"),
    gettext_lazy("ten"),
)


@dataclass(frozen=True, slots=True)
class PartBalance:
    """Balance of evidence of one part, 0..100, as ``_balance.html`` shows it."""

    part: str
    label: str
    balance: float
    shown: bool

    @property
    def whole(self):
        """The balance in whole points; one that is not full never reads 100."""
        return int(self.balance + 1e-6)

    @property
    def text(self):
        """The balance in words, after the name of the part."""
        if self.shown:
            return _("shown")
        return _("%(balance)d of 100") % {"balance": self.whole}


def part_balances(evidence):
    """Return the ``PartBalance`` of each part, from a ``Practice`` or a ``SignOffState``."""
    if isinstance(evidence, SignOffState):
        balances, shown = evidence.balances, evidence.shown
    else:
        balances = {part: getattr(evidence, f"{part}_balance") for part in Part.values}
        shown = {part: getattr(evidence, f"{part}_shown") for part in Part.values}
    return tuple(
        PartBalance(part.value, str(part.label), balances[part], shown[part]) for part in Part
    )


def state_word(state):
    """Return the translated word for a ``State`` or its value."""
    return STATE_WORDS[State(state)]


def count_in_words(number):
    """Return one to ten as a word, any other number as digits."""
    return NUMBER_WORDS[number - 1] if 1 <= number <= len(NUMBER_WORDS) else str(number)


def evidence_sentence(evidence, *, own=True):
    """Say how far the measured evidence has come, from a ``Practice`` or a ``SignOffState``.

    With ``own`` the sentence speaks to the cook, else about one. It speaks of a balance of
    evidence, never of a percentage of skill.
    """
    parts = part_balances(evidence)
    complete = getattr(evidence, "complete", None)
    if complete is None:
        complete = evidence.evidence_complete
    if complete:
        return _("Width, thickness and water are shown: evidence complete. A head chef decides.")
    if not evidence.counted:
        return _("No batch is counted yet.")
    weakest = min(parts, key=lambda part: part.balance)
    limiting = next((part for part in parts if part.part == evidence.limiting), weakest)
    mentioned = parts if any(part.shown for part in parts) else (limiting,)
    balances = listed(
        _("%(part)s %(balance)s") % {"part": part.label, "balance": part.text} for part in mentioned
    )
    more = evidence.more_like_last
    words = {
        "balances": balances,
        "part": limiting.label,
        "count": count_in_words(more) if more else "",
    }
    return capfirst(_sentence_pattern(more, own) % words)


def _sentence_pattern(more, own):
    if more is None and own:
        return _(
            "%(balances)s: a batch like your last would not bring you nearer. "
            "The weakest part is %(part)s."
        )
    if more is None:
        return _(
            "%(balances)s: a batch like the last would bring it no nearer. "
            "The weakest part is %(part)s."
        )
    if own:
        return ngettext(
            "%(balances)s: %(count)s more batch like your last would complete it.",
            "%(balances)s: %(count)s more batches like your last would complete it.",
            more,
        )
    return ngettext(
        "%(balances)s: %(count)s more batch like the last would complete it.",
        "%(balances)s: %(count)s more batches like the last would complete it.",
        more,
    )
