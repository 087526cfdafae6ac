"""Turn a scene into a complete SVG file."""

import re
from pathlib import Path
from xml.etree import ElementTree

from training.drawings.parts import STYLE, drawing
from training.drawings.scenes import SCENES

SVG = "{http://www.w3.org/2000/svg}"


def render(name: str) -> str:
    """Return the complete SVG text of the drawing called `name`; KeyError when unknown."""
    return drawing(SCENES[name]())


def render_plain(name: str) -> str:
    """Return the drawing called `name` in its light colours, for what reads no style sheet.

    The rules of the style sheet become attributes of the shapes that they apply to.
    """
    rules = re.findall(r"([^{}]+){([^{}]*)}", STYLE.partition("@media")[0])
    root = ElementTree.fromstring(render(name))  # noqa: S314 - our own output
    for style in root.findall(f"{SVG}style"):
        root.remove(style)
    for shape in root.iter():
        if "class" in shape.attrib:
            own = {"*", *(f".{cls}" for cls in shape.attrib.pop("class").split())}
            for selectors, declarations in rules:
                if own & set(selectors.split(",")):
                    shape.attrib.update(re.findall(r"([\w-]+):([^;]+)", declarations))
    # Whoever else writes SVG in this process may have given the namespace a prefix.
    ElementTree.register_namespace("", SVG.strip("{}"))
    return ElementTree.tostring(root, encoding="unicode")


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
