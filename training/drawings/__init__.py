"""Line drawings of the technique modules, built from shared parts.

``python -m training.drawings`` writes every drawing to ``media/illustrations``.
"""

from training.drawings.scenes import SCENES
from training.drawings.writing import render, render_plain, write_all

__all__ = ["SCENES", "render", "render_plain", "write_all"]
