from dataclasses import replace
from types import SimpleNamespace

import pytest
from django.template import engines

from assessments.calculations.requirements import RENEWAL_RULE, signoff_state
from assessments.calculations.standing import State
from assessments.models import Part, Practice
from assessments.summaries.sentence import (
    count_in_words,
    evidence_sentence,
    part_balances,
    state_word,
)


def run(*batches):
    """Return the state after batches on days of their own, each with points for all parts."""
    return signoff_state(
        [
            {"day": f"2026-03-{day:02}", "points": dict(zip(Part.values, points, strict=True))}
            for day, points in enumerate(batches, start=1)
        ]
    )


def as_practice(state):
    """Return an unsaved practice with the short form of ``state``."""
    return Practice(
        **{f"{part}_balance": state.balances[part] for part in Part.values},
        **{f"{part}_shown": state.shown[part] for part in Part.values},
        evidence_complete=state.complete,
        more_like_last=state.more_like_last,
        limiting=state.limiting or "",
        counted=state.counted,
    )


# The wording is the house's own; the counts follow from balances that add up to what is written:
# 20 a batch at most, 100 needed.
SENTENCES = [
    (run(), "No batch is counted yet."),
    (
        run((20, 20, 20), (20, 20, 20), (20, 20, 20)),
        "Width 60 of 100: two more batches like your last would complete it.",
    ),
    (
        run((20, 20, 20), (20, 20, 20), (20, 20, 20), (20, 20, 20)),
        "Width 80 of 100: one more batch like your last would complete it.",
    ),
    (
        run((20, 20, 20), (20, 20, 4)),
        "Water 24 of 100: 19 more batches like your last would complete it.",
    ),
    (
        run(*[(20, 20, 14)] * 5),
        "Width shown, thickness shown, water 70 of 100: three more batches like your last would "
        "complete it.",
    ),
    (
        run((20, 20, 20), (-5, 20, 20)),
        "Width 15 of 100: a batch like your last would not bring you nearer. The weakest part is "
        "width.",
    ),
    (
        run(*[(20, 20, None)] * 5),
        "Width shown, thickness shown, water 0 of 100: a batch like your last would not bring you "
        "nearer. The weakest part is water.",
    ),
    (
        run(*[(20, 20, 20)] * 5),
        "Width, thickness and water are shown: evidence complete. A head chef decides.",
    ),
]


@pytest.mark.parametrize(("state", "sentence"), SENTENCES)
def test_sentence_from_state_and_from_practice(state, sentence):
    assert evidence_sentence(state) == sentence
    assert evidence_sentence(as_practice(state)) == sentence


@pytest.mark.parametrize(
    ("state", "sentence"),
    [
        (
            SENTENCES[1][0],
            "Width 60 of 100: two more batches like the last would complete it.",
        ),
        (
            SENTENCES[5][0],
            "Width 15 of 100: a batch like the last would bring it no nearer. The weakest part is "
            "width.",
        ),
    ],
)
def test_sentence_about_another_cook(state, sentence):
    assert evidence_sentence(state, own=False) == sentence


def test_before_a_renewal_no_batch_is_said_to_be_poor():
    assert evidence_sentence(signoff_state([], rule=RENEWAL_RULE)) == "No batch is counted yet."


@pytest.mark.parametrize(("state", "sentence"), SENTENCES)
def test_nothing_is_called_a_percentage(state, sentence):
    assert "%" not in sentence
    assert "percent" not in sentence
    assert "skill" not in sentence


def test_the_part_is_called_water():
    assert [part.label for part in part_balances(run())] == ["width", "thickness", "water"]


@pytest.mark.parametrize(
    ("balance", "shown", "text"),
    [
        (0.0, False, "0 of 100"),
        (59.999, False, "59 of 100"),
        (99.99, False, "99 of 100"),
        (100.0, False, "100 of 100"),
        (64.0, True, "shown"),
    ],
)
def test_balance_in_words(balance, shown, text):
    state = run((20, 20, 20))
    state = replace(
        state,
        balances=state.balances | {"width": balance},
        shown=state.shown | {"width": shown},
    )
    assert part_balances(state)[0].text == text


@pytest.mark.parametrize(("number", "text"), [(1, "one"), (10, "ten"), (11, "11"), (40, "40")])
def test_counts_to_ten_are_words(number, text):
    assert count_in_words(number) == text


def test_every_state_has_a_word_and_a_mark_of_its_own():
    template = engines["django"].from_string('{% include "assessments/_state.html" %}')
    pages = [template.render({"state": state}) for state in State]
    words = [str(state_word(state)) for state in State]
    assert len(set(words)) == len(State)
    for state, word, page in zip(State, words, pages, strict=True):
        assert f"#state-{state.value}" in page
        assert f"<span>{word}</span>" in page


def test_an_unknown_state_is_refused():
    with pytest.raises(ValueError, match="promoted"):
        state_word("promoted")


@pytest.mark.parametrize(
    ("score", "text"),
    [(SimpleNamespace(score=92.88), "93"), (SimpleNamespace(score=None), "no score"), ("", "no")],
)
def test_score_fragment(score, text):
    template = engines["django"].from_string('{% include "assessments/_score.html" %}')
    assert text in template.render({"score": score})


def test_balance_fragment_has_its_text_beside_the_bar():
    template = engines["django"].from_string(
        "{% load practice %}{% for balance in evidence|part_balances %}"
        '{% include "assessments/_balance.html" %}{% endfor %}'
    )
    page = template.render({"evidence": run((20, 20, 20), (20, 20, 20), (20, 20, 20))})
    assert page.count('<progress max="100" value="60" aria-label=') == 3
    assert page.count("60 of 100</span>") == 3


def test_sentence_fragment_speaks_of_another_cook_on_demand():
    template = engines["django"].from_string('{% include "assessments/_sentence.html" %}')
    state = run((20, 20, 20))
    assert "like your last" in template.render({"evidence": state})
    assert "like the last" in template.render({"evidence": state, "of_other": True})
