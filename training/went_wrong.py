"""When something went wrong: by what one sees, the likely causes in order, each with its step."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from training.models import ModulePage
from training.signs import LIKELY, SIGNS
from training.summaries import Screen, raw_screens


@dataclass(frozen=True, slots=True)
class Sign:
    """Something that one can see, and how many causes the modules know for it."""

    slug: str
    words: str
    causes: int


@dataclass(frozen=True, slots=True)
class Cause:
    """A fault of a module as the cause of what one sees; without a step where none is named."""

    see: str
    tell: str
    cause: str
    remedy: str
    likely: str
    module: str
    url: str
    step: str
    step_url: str


def signs() -> list[Sign]:
    """Return every sign that a published module knows a cause for, from the flour to the bowl."""
    counts = Counter(
        sign
        for _page, _screens, screen in _faults()
        for sign in screen.main.value.get("signs") or ()
    )
    return [Sign(slug, str(words), counts[slug]) for slug, words in SIGNS.items() if counts[slug]]


def causes_of(sign: str) -> list[Cause]:
    """Return the causes of what one sees: the likelier first, else in the order of work."""
    order = list(LIKELY)
    found = [
        (order.index(screen.main.value.get("likely") or "sometimes"), _cause(page, screens, screen))
        for page, screens, screen in _faults()
        if sign in (screen.main.value.get("signs") or ())
    ]
    # Sorting is stable: causes that are as likely keep the order of work.
    return [cause for _place, cause in sorted(found, key=lambda pair: pair[0])]


def _faults() -> Iterator[tuple[ModulePage, list[Screen], Screen]]:
    """Yield the faults of all published modules in the order of work, with their module."""
    pages = ModulePage.objects.in_language().order_by(
        "station__position", "station__name", "original_path"
    )
    for page in pages:
        screens = raw_screens(page)
        for screen in screens:
            if screen.kind == "fault":
                yield page, screens, screen


def _cause(page, screens, screen):
    value = screen.main.value
    title = value.get("step") or ""
    step = next(
        (one for one in screens if one.kind == "step" and one.main.value["title"] == title), None
    )
    return Cause(
        see=value["see"],
        tell=value["tell"],
        cause=value["cause"],
        remedy=value["remedy"],
        likely=str(LIKELY[value.get("likely") or "sometimes"]),
        module=page.title,
        url=f"{page.address}#{screen.anchor}",
        step=step.main.value["title"] if step else "",
        step_url=f"{page.address}#{step.anchor}" if step else "",
    )
