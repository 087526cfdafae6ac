"""The technique modules shipped with the site, as data for its first pages."""

from training.curriculum import cutting, mixing, rolling, treading
from training.curriculum.blocks import Module

MODULES: tuple[Module, ...] = (mixing.MODULE, treading.MODULE, rolling.MODULE, cutting.MODULE)

__all__ = ["MODULES", "Module"]
