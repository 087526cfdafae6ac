"""What the house is and what a cook reads."""

from training.models.clips import Clip
from training.models.house import Branch, HousePolicy, Role, Station, Style
from training.models.pages import ModuleIndexPage, ModulePage
from training.models.reading import CheckAnswer, MissedQuestion, ModuleProgress, StepRead
from training.models.standards import (
    Flour,
    OtherIngredient,
    PublishedVersionError,
    Round,
    Season,
    StandardVersion,
    check_recipe,
    publish_version,
)
from training.models.user import User
from training.models.words import Word

__all__ = [
    "Branch",
    "CheckAnswer",
    "Clip",
    "Flour",
    "HousePolicy",
    "MissedQuestion",
    "ModuleIndexPage",
    "ModulePage",
    "ModuleProgress",
    "OtherIngredient",
    "PublishedVersionError",
    "Role",
    "Round",
    "Season",
    "StandardVersion",
    "Station",
    "StepRead",
    "Style",
    "User",
    "Word",
    "check_recipe",
    "publish_version",
]
