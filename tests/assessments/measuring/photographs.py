"""The photos in ``media/photographs``: what they show, and how they are rendered again.

``python -m tests.assessments.measuring.photographs`` writes them anew. Whatever is not named of a
scene is drawn from its seed.
"""

import json
from pathlib import Path
from typing import Final

from tests.assessments.measuring.scenes import random_scene, refusal_scenes, render

FOLDER: Final = Path(__file__).parents[3] / "media" / "photographs"
PLAIN: Final = {
    "card": "A4", "size": (2592, 1944), "covered_markers": (), "k1": 0.0, "exif_focal": True,
    "orientation": 1, "touching_pairs": 0, "crossing": 0, "off_field_mm": 0.0, "gloss": 0.0,
    "flour": 0.0, "jpeg_quality": 84,
}  # fmt: skip
MEASURED: Final = {
    "wheat-thick-soft-light": (501, {"style": "wheat_thick", "light": "soft"}),
    "buckwheat-thin-12-megapixels": (
        502,
        {
            "style": "buckwheat_thin", "count": 24, "light": "two", "size": (4000, 3000),
            "shot_noise": 0.006, "jpeg_quality": 80,
            "focal_35mm": 26.0, "height_mm": 345.0, "tilt_deg": 7.0, "roll_deg": 3.0,
            "aim_mm": (150.0, 104.0),
        },
    ),
    "ribbons-letter-card-side-light": (
        503, {"style": "ribbon", "light": "side", "card": "Letter", "orientation": 6},
    ),
    "alkaline-thin-touching-and-crossing": (
        504, {"style": "alkaline_thin", "light": "side", "touching_pairs": 4, "crossing": 1},
    ),
    "green-tea-marker-covered-no-focal-length": (
        505,
        {"style": "green_tea", "light": "two", "covered_markers": (1,), "exif_focal": False},
    ),
    "wheat-thin-floured-beyond-the-field": (
        506,
        {
            "style": "wheat_thin", "light": "soft", "size": (1600, 1200), "flour": 0.5,
            "off_field_mm": 22.0,
        },
    ),
    "starch-glossy-card-bent-lens": (
        507, {"style": "starch", "light": "two", "gloss": 3.0, "k1": 0.018, "orientation": 3},
    ),
    "buckwheat-pale-letter-card-soft-light": (
        508,
        {
            "style": "buckwheat_pale", "light": "soft", "size": (1600, 1200), "card": "Letter",
            "orientation": 8,
        },
    ),
    "thick-wheat-wedges": (
        509,
        {
            "style": "wheat_thick", "light": "soft", "size": (1600, 1200), "count": 20,
            "width_mm": 3.25, "width_cv": 0.04, "taper": 0.02, "wedge": 0.13,
            "gap_mm": (0.8, 2.5),
        },
    ),
    "thick-wheat-every-second-turned": (
        510,
        {
            "style": "wheat_thick", "light": "soft", "size": (1600, 1200), "count": 20,
            "width_mm": 3.25, "width_cv": 0.04, "taper": 0.02, "fan": 0.22,
            "gap_mm": (0.8, 2.5),
        },
    ),
}  # fmt: skip
"""Name, seed of the scene, and what is given of it."""
REFUSED: Final = {"too-far": (500, "far-2px"), "heaped": (500, "heaped"), "glare": (700, "glare")}
"""Name, seed, and name of the scene among `scenes.refusal_scenes`."""
STRAND_KEYS: Final = (
    "id", "centreline", "mean_width_mm", "mean_width_in_field_mm", "share_in_field",
    "thickness_mm", "length_mm", "touching", "crossing",
)  # fmt: skip
LEFT_OUT: Final = ("seed", "gps", "scene", "strands")


def trimmed(truth):
    """Return the truth as JSON text without what only the renderer needs, a strand a line."""
    head = {key: value for key, value in truth.items() if key not in LEFT_OUT}
    strands = [json.dumps({key: row[key] for key in STRAND_KEYS}) for row in truth["strands"]]
    start = json.dumps(head, indent=1)[:-2]
    return start + ',\n "strands": [\n  ' + ",\n  ".join(strands) + "\n ]\n}\n"


def scenes():
    """Return the scene of every photo by its name."""
    found = {name: random_scene(seed, **PLAIN | given) for name, (seed, given) in MEASURED.items()}
    refused = {
        f"refused-{name}": refusal_scenes(seed)[scene] for name, (seed, scene) in REFUSED.items()
    }
    return found | refused


def main():
    """Write every photo and its truth."""
    FOLDER.mkdir(exist_ok=True)
    for name, scene in scenes().items():
        data, truth = render(scene)
        (FOLDER / f"{name}.jpg").write_bytes(data)
        (FOLDER / f"{name}.json").write_text(trimmed({"image": f"{name}.jpg"} | truth))


if __name__ == "__main__":
    main()
