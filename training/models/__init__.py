"""What the house is and what a cook reads."""

from training.models.house import Branch, HousePolicy, Role, Station, Style
from training.models.pages import ModuleIndexPage, ModulePage
from training.models.reading import CheckAnswer, ModuleProgress, StepRead
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

__all__ = [
    "Branch",
    "CheckAnswer",
    "Flour",
    "HousePolicy",
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
    "check_recipe",
    "publish_version",
]
