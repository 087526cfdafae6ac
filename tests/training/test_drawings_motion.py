"""Drawings that can move: short loops, still unless asked, and still for those who wish it."""

import re

import pytest

from training import blocks
from training.drawings import SCENES, render
from training.drawings.parts import MOVING, STYLE, drawing, moving, path

LONGEST_LOOP_S = 4
movers = [name for name in SCENES if f'id="{MOVING}"' in render(name)]


def test_rolling_treading_folding_and_cutting_move():
    assert {"roll-centre", "tread-turn", "cut-fold", "cut-tilt"} <= set(movers)


def test_a_page_knows_from_the_files_which_drawings_move():
    assert blocks.moving_drawings() == set(movers)
    assert blocks.MOVING == MOVING


@pytest.mark.parametrize("name", sorted(set(SCENES) - set(movers)))
def test_a_still_drawing_carries_no_rule_of_motion(name):
    assert "animation" not in render(name)
    assert f"<style>{STYLE}</style>" in render(name)


@pytest.mark.parametrize("name", movers)
def test_loops_are_short_and_each_has_its_own_name(name):
    text = render(name)
    lengths = [float(s) for s in re.findall(r"animation:m-[\w-]+ ([\d.]+)s infinite", text)]
    assert lengths
    assert max(lengths) <= LONGEST_LOOP_S
    groups = re.findall(r'<g id="(m-[\w-]+)">', text)
    assert len(set(groups)) == len(groups) == len(lengths)
    assert set(groups) == set(re.findall(r"@keyframes (m-[\w-]+)\{", text))


@pytest.mark.parametrize("name", movers)
def test_it_moves_only_when_asked_and_only_for_those_who_want_motion(name):
    # WCAG 2.2, 2.2.2 and 2.3.3: what moves by itself can be stopped, and the wish is heeded.
    style = re.search(r"<style>(.*)</style>", render(name))[1].removeprefix(STYLE)
    wish = re.escape("@media (prefers-reduced-motion:no-preference){")
    asked = rf"#{MOVING}:target #m-[\w-]+{{[^{{}}]*}}}}"
    outside = re.sub(wish + asked, "", style)
    assert "animation" in style
    assert "animation" not in outside


def test_without_its_motion_a_drawing_is_as_drawn():
    shape = path("i", "M0 0H9")
    whole = drawing(moving("bit", shape, 2, {0: "opacity:0"}))
    assert re.sub(r"<style>.*</style>", "", whole).count(shape) == 1
    assert "opacity" not in whole.partition("</style>")[2]
