"""The guides name what there is."""

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
COMMANDS = sorted(
    path.stem for app in ("studio", "inventory", "safety") for path in (ROOT / app).glob("management/commands/[!_]*.py")
)
SETTINGS = sorted(
    set(re.findall(r"TUBESHELF_[A-Z_]+", (ROOT / "studio/settings.py").read_text(encoding="utf-8"))) | {"DATABASE_URL"}
)


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_is_in_the_guide(command):
    assert f"`{command}`" in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("setting", SETTINGS)
def test_each_setting_is_in_the_guide(setting):
    assert f"`{setting}`" in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_job_stands_in_one_paragraph_at_the_top():
    title, job, *_ = (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n")
    assert title == "# Tubeshelf"
    assert "\n" not in job
    for word in ("studio", "mix", "buy next", "level", "local regulations", "safety data sheet"):
        assert word in job


def test_the_top_level_is_as_agreed():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("this copy is not a git checkout")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    agreed = {"README.md", "DEVELOPERS.md", "LICENSE", "manage.py", "pyproject.toml", "studio", "inventory", "safety"}
    agreed |= {"templates", "tests", "fixtures"}
    assert {name for name in top if not name.startswith(".")} <= agreed


@pytest.mark.parametrize(
    ("folder", "banned"),
    [
        ("inventory/labels", r"^\s*(from|import) (django|rest_framework|numpy|inventory\.(models|queries|services))"),
        ("inventory/colour", r"^\s*(from|import) (django|rest_framework|inventory\.(models|queries|services))"),
        ("inventory/stock", r"^\s*(from|import) (django|rest_framework|inventory\.(models|queries|services))"),
        ("inventory/exchange", r"^\s*(from|import) (django|rest_framework|inventory\.(models|queries|services))"),
        ("inventory/measuring", r"^\s*(from|import) (django|rest_framework|inventory\.(models|queries|services))"),
        ("inventory/printing", r"^\s*(from|import) (django|rest_framework|inventory\.(models|queries|services))"),
        ("inventory", r"^\s*(from|import) safety"),
        ("safety/rules", r"^\s*(from|import) (django|rest_framework|inventory|safety\.(models|queries|services))"),
        ("studio/printing", r"^\s*(from|import) (django|rest_framework|inventory|safety|studio\.(?!printing))"),
        ("safety/printing", r"^\s*(from|import) (django|rest_framework|inventory|safety\.(models|queries|services))"),
    ],
)
def test_the_arrows_between_the_rooms_hold(folder, banned):
    for path in (ROOT / folder).rglob("*.py"):
        if "migrations" not in path.parts:
            found = re.search(banned, path.read_text(encoding="utf-8"), re.MULTILINE)
            assert found is None, f"{path.relative_to(ROOT)} has {found and found.group().strip()!r}"


def test_studio_models_and_access_import_no_other_app():
    for name in ("models.py", "access.py", "services.py", "reference.py"):
        text = (ROOT / "studio" / name).read_text(encoding="utf-8")
        assert not re.search(r"^\s*(from|import) (inventory|safety)", text, re.MULTILINE)
