"""By which sign a fault is found when something went wrong, how likely it is, and at which step.

A cook sees a sign ("the strands stick") and not a module; several faults share one. Which is the
likelier cause is common practice of the trade, with no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from training.curriculum.blocks import Fault

OFTEN, SOMETIMES, SELDOM = "often", "sometimes", "seldom"


@dataclass(frozen=True, slots=True)
class Tag:
    """Where a fault begins (the drawing of its step), its signs, and how often it is the cause."""

    step: str
    signs: tuple[str, ...]
    likely: str = SOMETIMES


# By module; then by the words with which the fault begins.
TAGS: Mapping[str, Mapping[str, Tag]] = {
    "before-you-start": {
        "The board creeps": Tag("start-bench", ("tools",), OFTEN),
        "Light shows under the pin": Tag("start-tools", ("tools", "thick-places"), SELDOM),
        "The knife slips": Tag("start-sharpen", ("knife", "strands-stick"), OFTEN),
        "The new edge catches": Tag("start-sharpen", ("knife",)),
        "Your plaster is gone": Tag("start-cuts", ("unsafe",)),
        "White streaks lie": Tag("start-apart", ("unsafe",), OFTEN),
    },
    "flour-starch-water-and-salt": {
        "The dough stays weak": Tag("flour-strength", ("dough-soft", "cracks")),
        "The dough draws back": Tag("flour-strength", ("dough-tight",), SELDOM),
        "The same recipe is too soft": Tag("flour-season", ("dough-soft", "dough-sticky"), OFTEN),
        "The float in the brine": Tag("flour-cups", ("readings",), SELDOM),
        "Two weighings": Tag("flour-weigh", ("readings",)),
    },
    "mixing-in-the-water": {
        "White flour stays": Tag("mix-claw", ("dough-lumps", "dough-dry"), OFTEN),
        "The mass is a sticky paste": Tag("mix-pour", ("dough-sticky",), OFTEN),
        "Big wet lumps": Tag("mix-pour", ("dough-lumps",), OFTEN),
        "The lump falls apart": Tag("mix-lump", ("dough-dry",), OFTEN),
        "You feel grains": Tag("mix-brine", ("dough-lumps",), SELDOM),
    },
    "mixing-buckwheat": {
        "The rim cracks": Tag("buck-petals", ("cracks", "dough-dry"), OFTEN),
        "Lumps are wet": Tag("buck-beads", ("dough-lumps",), OFTEN),
        "The mass sticks": Tag("buck-gather", ("dough-sticky",)),
        "The grains stay like sand": Tag("buck-gather", ("dough-dry",)),
        "The sheet splits": Tag("buck-cone", ("cracks", "air")),
    },
    "treading-and-resting": {
        "The skin tears": Tag("tread-rest", ("cracks", "dough-tight"), OFTEN),
        "A dry crust": Tag("tread-rest", ("cracks", "dough-dry"), OFTEN),
        "The dough springs back": Tag("tread-dent", ("dough-tight",), OFTEN),
        "The dough is stiff": Tag("tread-middle", ("dough-tight",)),
        "The cut dough shows streaks": Tag("tread-fold", ("air", "dough-lumps")),
    },
    "resting-the-dough": {
        "The time is over": Tag("rest-dent", ("dough-tight",)),
        "The dough lies flat": Tag("rest-dent", ("dough-soft",)),
        "The rim is soft": Tag("rest-inside", ("dough-tight", "dough-lumps"), SELDOM),
        "Drops stand on the skin": Tag("rest-cover", ("dough-sticky",)),
        "The dough is grey": Tag("rest-cold", ("dough-grey", "unsafe")),
    },
    "rounding-the-dough": {
        "The seam opens": Tag("round-seal", ("air",), OFTEN),
        "The sheet blisters": Tag("round-press", ("air",), OFTEN),
        "The ball leans": Tag("round-turn", ("thick-places",), SELDOM),
        "The skin tears": Tag("round-tighten", ("cracks",)),
        "The folds slide open": Tag("round-fold", ("air",)),
    },
    "rolling-to-an-even-sheet": {
        "The rim is thicker": Tag("roll-unroll", ("thick-places",), OFTEN),
        "The middle is thick": Tag("roll-centre", ("thick-places",), OFTEN),
        "One side is thick": Tag("roll-turn", ("thick-places",)),
        "The edge splits": Tag("roll-press", ("cracks",), OFTEN),
        "A crease or a fold line": Tag("roll-wind", ("crease",), OFTEN),
    },
    "folding-and-cutting": {
        "A strand is wide at one end": Tag("cut-guide", ("uneven-width",)),
        "The strand is slanted": Tag("cut-down", ("uneven-width",)),
        "Every second strand": Tag("cut-tilt", ("uneven-width",), OFTEN),
        "Strands get wider": Tag("cut-tilt", ("uneven-width",), OFTEN),
        "Strands hang together": Tag("cut-down", ("strands-stick", "knife"), OFTEN),
        "Strands break where": Tag("cut-fold", ("strands-break", "crease"), OFTEN),
    },
    "measuring-sheet-and-strands": {
        "All readings are low": Tag("measure-touch", ("readings",), OFTEN),
        "Readings at one place": Tag("measure-strand", ("readings",)),
        "The site refuses": Tag("card-lay", ("readings",)),
        "All readings are off": Tag("measure-zero", ("readings",)),
        "The readings look better": Tag("cut-pick", ("readings", "judging")),
    },
    "boiling-the-noodles": {
        "Strands stick together": Tag("boil-drop", ("strands-stick",), OFTEN),
        "Strands break in the pot": Tag("boil-keep", ("pot-break",), OFTEN),
        "The outside is soft": Tag("boil-full", ("hard-core",), OFTEN),
        "Some strands are soft": Tag("boil-sizes", ("hard-core", "soft")),
        "The surface is rough": Tag("boil-skim", ("soft", "boils-over"), OFTEN),
    },
    "cooling-and-washing": {
        "The strands feel slimy": Tag("cool-rub", ("soft",), OFTEN),
        "The middle of the heap": Tag("cool-plunge", ("wrong-heat", "unsafe"), OFTEN),
        "Water runs out": Tag("cool-drain", ("weak-or-salty",)),
        "The drained strands stick": Tag("cool-drain", ("strands-stick",), OFTEN),
        "The strands are short": Tag("cool-rub", ("strands-break", "pot-break")),
        "Held noodles are chalky": Tag("cool-hold", ("strands-break", "hard-core")),
    },
    "making-stock": {
        "The stock is cloudy": Tag("stock-flakes", ("stock-off",), OFTEN),
        "The stock is slimy": Tag("stock-lift", ("stock-off",)),
        "The stock is bitter": Tag("stock-flakes", ("stock-off", "smell")),
        "The stock is thin": Tag("stock-warm", ("weak-or-salty",), OFTEN),
        "The soup gets saltier": Tag("stock-hold", ("weak-or-salty",), OFTEN),
    },
    "serving-the-bowl": {
        "The noodles lie in the bowl": Tag("serve-move", ("strands-stick",)),
        "The dish is lukewarm": Tag("serve-bowl", ("wrong-heat",), OFTEN),
        "The stock tastes weak": Tag("serve-shake", ("weak-or-salty",), OFTEN),
        "The noodles are soft": Tag("serve-two", ("soft",), OFTEN),
        "Stock runs over": Tag("serve-stock", ("bowl-untidy",), OFTEN),
        "The crisp topping": Tag("serve-toppings", ("bowl-untidy",)),
    },
    "alkaline-noodles": {
        "The sheet has brown": Tag("alkaline-dissolve", ("dough-grey", "dough-lumps")),
        "The dough will not hold": Tag("alkaline-crumbs", ("dough-dry",)),
        "The sheet is grey": Tag("alkaline-rest", ("dough-grey",)),
        "The noodles smell of soap": Tag("alkaline-weigh", ("smell",)),
        "The edge of the sheet": Tag("alkaline-roll", ("cracks",)),
    },
    "ribbon-noodles": {
        "Ribbons stick": Tag("ribbon-fold", ("strands-stick",)),
        "Every ribbon has a crease": Tag("ribbon-fold", ("crease",)),
        "The edges are ruffled": Tag("ribbon-cut", ("uneven-width", "knife"), SELDOM),
        "Some ribbons are wide": Tag("ribbon-cut", ("uneven-width",), SELDOM),
        "A ribbon is soft": Tag("ribbon-boil", ("hard-core", "soft"), SELDOM),
    },
    "all-buckwheat-without-wheat": {
        "The strands break": Tag("gluten-free-water", ("pot-break", "strands-break")),
        "The rim cracks": Tag("gluten-free-close", ("cracks",)),
        "The dough is a sticky paste": Tag("gluten-free-water", ("dough-sticky",), SELDOM),
        "The marked pot": Tag("gluten-free-bench", ("unsafe",)),
    },
    "closing-the-bench": {
        "The pin is sticky": Tag("close-pin", ("tools",)),
        "The board rocks": Tag("close-board", ("tools",)),
        "The blade has spots": Tag("close-knife", ("knife",)),
        "Yesterday's dough": Tag("close-dough", ("dough-grey", "unsafe"), OFTEN),
        "Lumps, threads or beetles": Tag("close-flour", ("unsafe", "dough-lumps"), SELDOM),
    },
    "judging-fairly": {
        "All your marks": Tag("chef-apart", ("judging",)),
        "Your best cook": Tag("chef-tolerance", ("judging",)),
        "The cook gets worse": Tag("chef-say", ("judging",)),
        "Two head chefs": Tag("chef-same", ("judging",)),
        "The numbers are good": Tag("chef-sign", ("judging",)),
        "A cook who was signed off": Tag("chef-evidence", ("judging",)),
    },
}


def tag_of(slug: str, fault: Fault) -> Tag | None:
    """Return the tag of a fault of the module ``slug``; None where it has none yet."""
    tags = TAGS.get(slug, {})
    return next((tag for start, tag in tags.items() if fault.see.startswith(start)), None)
