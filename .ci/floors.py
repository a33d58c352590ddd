"""Print a pip constraints file that pins every declared package to the oldest version pyproject.toml allows."""

import tomllib
from pathlib import Path

PYPROJECT = Path(__file__).resolve().parents[1] / "pyproject.toml"


def floors():
    """Lines `name==version`, one for each `name>=version` of the package and its extras."""
    project = tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))["project"]
    lists = [project["dependencies"], *project["optional-dependencies"].values()]
    return [line.replace(">=", "==") for lines in lists for line in lines]


if __name__ == "__main__":
    print(*floors(), sep="\n")
