"""Words and balances of a cook's evidence in templates."""

from django import template

from assessments.summaries import sentence

register = template.Library()


@register.filter
def state_word(state):
    """The word for a state, ``{{ standing.state|state_word }}``."""
    return sentence.state_word(state)


@register.filter
def part_balances(evidence):
    """One balance for each part, for ``_balance.html``."""
    return sentence.part_balances(evidence)


@register.filter
def evidence_sentence(evidence, of_other=False):
    """How far the evidence has come; about the cook instead of to the cook with ``of_other``."""
    return sentence.evidence_sentence(evidence, own=not of_other)
