"""Turn a scene into a complete SVG file."""

from pathlib import Path

from training.drawings.parts import drawing
from training.drawings.scenes import SCENES


def render(name: str) -> str:
    """Return the complete SVG text of the drawing called `name`; KeyError when unknown."""
    return drawing(SCENES[name]())


def write_all(target_dir: Path) -> list[Path]:
    """Write every drawing to `target_dir`, drop those no scene draws, return what was written."""
    target_dir.mkdir(parents=True, exist_ok=True)
    written = []
    for name in SCENES:
        path = target_dir / f"{name}.svg"
        path.write_text(render(name), encoding="utf-8")
        written.append(path)
    for stale in set(target_dir.glob("*.svg")) - set(written):
        stale.unlink()
    return written
