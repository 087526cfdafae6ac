"""Which batches a second assessor should look at too."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Candidate:
    """A batch that could be seen by a second assessor.

    Attributes
    ----------
    batch, cook, first : int
        The batch, whose it is, and who assesses it in any case.
    others : tuple of int
        Who could look too; the cook and the first are passed over.
    """

    batch: int
    cook: int
    first: int
    others: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SecondLook:
    """A batch that two assess, each without knowing what the other wrote."""

    batch: int
    cook: int
    first: int
    second: int


def propose_second_looks(
    candidates: Sequence[Candidate],
    wanted: int,
    *,
    seed: int,
    past: Sequence[SecondLook] = (),
) -> tuple[SecondLook, ...]:
    """Choose batches for a second look: at random, balanced over cooks and assessors.

    Parameters
    ----------
    candidates : sequence of Candidate
        In any order; the choice does not depend on it.
    wanted : int
        How many, 0 or more.
    seed : int
        0 or more; fixed before the ratings are known, so that nobody can choose by them.
    past : sequence of SecondLook
        Looks that were made or proposed before, which the balance takes into account; their
        batches are not proposed again.

    Returns
    -------
    tuple of SecondLook
        In the order in which they were chosen; fewer than wanted where no more are possible.

    Raises
    ------
    ValueError
        For a batch that comes twice, a cook who would assess the own batch, `wanted` below 0, or
        a seed that is no whole number from 0.

    Notes
    -----
    Minimisation: one after the other is chosen where the looks so far at the same cook, by the
    same first, by the same second and by the same two together are fewest in sum; the lot decides
    among equals, first between batches, then between seconds. Taves (1974), Clinical Pharmacology
    and Therapeutics 15, 443-453; Pocock and Simon (1975), Biometrics 31, 103-115.

    Examples
    --------
    >>> batches = [Candidate(batch, cook, 8, (8, 9)) for batch, cook in ((1, 5), (2, 5), (3, 6))]
    >>> sorted(look.cook for look in propose_second_looks(batches, 2, seed=1))
    [5, 6]
    """
    if wanted < 0:
        raise ValueError(f"wanted must be 0 or more, not {wanted}.")
    if isinstance(seed, bool) or not isinstance(seed, int) or seed < 0:
        raise ValueError(f"seed must be a whole number from 0, not {seed!r}.")
    options = _options(candidates, {look.batch for look in past})
    counts: Counter[tuple[str, int, int]] = Counter()
    for look in past:
        counts.update(_traits(look))
    lot = np.random.default_rng(seed)
    chosen: list[SecondLook] = []
    while options and len(chosen) < wanted:
        costs = {
            batch: [sum(counts[trait] for trait in _traits(look)) for look in looks]
            for batch, looks in options.items()
        }
        least = min(min(of_batch) for of_batch in costs.values())
        batches = [batch for batch, of_batch in costs.items() if min(of_batch) == least]
        batch = batches[int(lot.integers(len(batches)))]
        looks = [
            look
            for look, cost in zip(options.pop(batch), costs[batch], strict=True)
            if cost == least
        ]
        look = looks[int(lot.integers(len(looks)))]
        counts.update(_traits(look))
        chosen.append(look)
    return tuple(chosen)


def _options(candidates: Sequence[Candidate], seen: set[int]) -> dict[int, list[SecondLook]]:
    options: dict[int, list[SecondLook]] = {}
    batches: set[int] = set()
    # In the order of the batches, so that the lot falls the same for whatever order they come in.
    for one in sorted(candidates, key=lambda candidate: candidate.batch):
        if one.batch in batches:
            raise ValueError(f"Batch {one.batch} comes twice.")
        if one.first == one.cook:
            raise ValueError(f"Batch {one.batch}: nobody can assess the own batch.")
        batches.add(one.batch)
        seconds = sorted(set(one.others) - {one.cook, one.first})
        if seconds and one.batch not in seen:
            options[one.batch] = [
                SecondLook(one.batch, one.cook, one.first, second) for second in seconds
            ]
    return options


def _traits(look: SecondLook) -> Iterable[tuple[str, int, int]]:
    return (
        ("cook", look.cook, 0),
        ("first", look.first, 0),
        ("second", look.second, 0),
        ("pair", min(look.first, look.second), max(look.first, look.second)),
    )
