"""The technique modules shipped with the site, as data for its first pages."""

from training.curriculum import (
    alkaline,
    before_you_start,
    boiling,
    buckwheat_mixing,
    closing,
    cooling,
    cutting,
    flour_and_water,
    gluten_free_buckwheat,
    head_chef,
    measuring,
    mixing,
    resting,
    ribbon,
    rolling,
    rounding,
    serving,
    stock,
    treading,
)
from training.curriculum.blocks import Module

# In the order of work: the list of modules keeps it within each station.
MODULES: tuple[Module, ...] = (
    before_you_start.MODULE,
    flour_and_water.MODULE,
    mixing.MODULE,
    buckwheat_mixing.MODULE,
    treading.MODULE,
    resting.MODULE,
    rounding.MODULE,
    rolling.MODULE,
    cutting.MODULE,
    measuring.MODULE,
    boiling.MODULE,
    cooling.MODULE,
    stock.MODULE,
    serving.MODULE,
    alkaline.MODULE,
    ribbon.MODULE,
    gluten_free_buckwheat.MODULE,
    closing.MODULE,
    head_chef.MODULE,
)

__all__ = ["MODULES", "Module"]
