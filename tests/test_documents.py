"""What the documents promise is what the project has."""

import re
from pathlib import Path

import pytest
from django.core.management import get_commands

TOP = Path(__file__).resolve().parent.parent
README = TOP / "README.md"
DEVELOPERS = TOP / "DEVELOPERS.md"


def section(text, heading):
    """Return the text below the level-two heading that begins with ``heading``."""
    parts = re.split(r"^## ", text, flags=re.MULTILINE)
    return next(part for part in parts if part.lower().startswith(heading.lower()))


def environment_variables():
    """Return every name that the settings read from the environment."""
    settings = (TOP / "training" / "settings.py").read_text()
    read = set(re.findall(r"""env\.\w+\(\s*["']([A-Z_]+)["']""", settings))
    return sorted(read)


def own_commands():
    return sorted(
        name for name, app in get_commands().items() if app in ("training", "assessments")
    )


def test_quick_start_is_two_commands():
    blocks = re.findall(r"```\w*\n(.*?)```", section(README.read_text(), "Quick start"), re.DOTALL)
    lines = [line.strip() for block in blocks for line in block.splitlines() if line.strip()]
    assert lines == ["bash .ci/demo", "bash .ci/test"]


def test_the_scripts_of_the_quick_start_are_there():
    for name in ("demo", "test"):
        assert (TOP / ".ci" / name).read_text().startswith("#!/usr/bin/env bash\n")


def test_settings_read_the_environment():
    """Guards the search below: were it to find nothing, every document would pass."""
    assert {"PRODUCTION", "SECRET_KEY", "DATABASE_URL", "EMAIL_URL"} <= set(environment_variables())


@pytest.mark.parametrize("name", environment_variables())
def test_every_environment_variable_is_explained(name):
    assert f"`{name}`" in README.read_text()


def test_no_variable_is_explained_that_nothing_reads():
    explained = set(re.findall(r"`([A-Z][A-Z_]+)`", section(README.read_text(), "A real house")))
    assert explained == set(environment_variables())


@pytest.mark.parametrize("name", own_commands())
def test_every_command_is_explained(name):
    words = README.read_text() + DEVELOPERS.read_text()
    assert re.search(rf"\bmanage\.py {name}\b|\.ci/{name}\b|`{name}`", words)


@pytest.mark.parametrize("document", [README, DEVELOPERS], ids=lambda path: path.name)
def test_every_link_leads_somewhere(document):
    text = document.read_text()
    anchors = {
        re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")
        for heading in re.findall(r"^#+ (.+)$", text, flags=re.MULTILINE)
    }
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if target.startswith(("http://", "https://")):
            continue
        path, _hash, anchor = target.partition("#")
        assert not path or (TOP / path).exists(), target
        assert path or anchor in anchors, target


def test_every_file_that_is_named_exists():
    """`training/access.py` in the text is a promise too."""
    words = README.read_text() + DEVELOPERS.read_text()
    named = re.findall(r"`((?:training|assessments|tests|media|\.ci)/[\w./-]+)`", words)
    assert named
    for name in named:
        assert (TOP / name).exists(), name
