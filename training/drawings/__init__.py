"""Line drawings of the technique modules, built from shared parts.

``python -m training.drawings`` writes every drawing to ``media/illustrations``.
"""

from importlib import import_module
from pkgutil import iter_modules

from training.drawings.scenes import SCENES
from training.drawings.writing import render, render_plain, write_all

# A module of scenes registers its drawings when it is imported.
for _module in iter_modules(__path__):
    if _module.name.endswith("_scenes"):
        import_module(f"{__name__}.{_module.name}")

__all__ = ["SCENES", "render", "render_plain", "write_all"]
