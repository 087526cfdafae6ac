"""The direction of imports that DEVELOPERS.md describes, checked by the tool that knows it."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


def test_calculations_import_without_django():
    code = (
        "import sys, pkgutil, importlib, assessments.calculations as c;"
        "[importlib.import_module(m.name)"
        " for m in pkgutil.walk_packages(c.__path__, 'assessments.calculations.')];"
        "found = [m for m in sys.modules if m.split('.')[0] in ('django', 'wagtail', 'training')];"
        "sys.exit(f'imported: {found}' if found else 0)"
    )
    result = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert result.returncode == 0, result.stderr


def test_only_the_agreed_names_at_the_top():
    """The layout names eight places; anything else belongs into one of them."""
    git = shutil.which("git")
    if git is None or not (ROOT / ".git").exists():
        pytest.fail("This test asks git which files belong to the project.")
    listed = subprocess.run(
        [git, "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split("\n")
    top = {name.split("/")[0] for name in listed if name and not name.startswith(".")}
    assert top <= {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "manage.py",
        "training",
        "assessments",
        "media",
        "tests",
    }
