"""Several tests at once: chances that hold over all of them together."""

from collections.abc import Sequence


def holm(probabilities: Sequence[float]) -> list[float]:
    """Correct probabilities of several tests so that all together keep the rate of false alarms.

    Parameters
    ----------
    probabilities : sequence of float
        Each 0..1.

    Returns
    -------
    list of float
        In the same order.

    Notes
    -----
    Holm (1979), Scandinavian Journal of Statistics 6, 65-70.

    Examples
    --------
    >>> holm([0.04, 0.01])
    [0.04, 0.02]
    """
    corrected = [0.0] * len(probabilities)
    largest = 0.0
    order = sorted(range(len(probabilities)), key=probabilities.__getitem__)
    for rank, i in enumerate(order):
        largest = max(largest, min(1.0, probabilities[i] * (len(order) - rank)))
        corrected[i] = largest
    return corrected
