"""What the project says about itself agrees: packages, versions, files, and what committed text may hold."""

import ast
import re
import subprocess
import sys
import tomllib
from importlib import metadata
from pathlib import Path

import pytest
import yaml
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
TOP_LEVEL = {
    ".ci",
    ".gitignore",
    "CHANGES.md",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "environment.yml",
    "notebooks",
    "panelmech",
    "pyproject.toml",
    "tests",
}
TEXT = {"", ".cfg", ".csv", ".html", ".ipynb", ".js", ".json", ".md", ".py", ".svg", ".toml", ".txt", ".yml"}


def committed():
    """Files under version control; outside a checkout (an unpacked archive) there is nothing to ask."""
    done = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True)
    if done.returncode:
        pytest.skip("not a git checkout")
    return [ROOT / name for name in done.stdout.split("\0") if name and (ROOT / name).exists()]


def requirements():
    """{name: specifier} over the package, the workbook and the tests, from pyproject.toml."""
    project = PROJECT["project"]
    lists = [project["dependencies"], *project["optional-dependencies"].values()]
    items = [Requirement(line) for lines in lists for line in lines]
    return {item.name.lower(): item.specifier for item in items}


def conda_file():
    return yaml.safe_load((ROOT / "environment.yml").read_text(encoding="utf-8"))


def conda_requirements():
    """{name: specifier} of environment.yml, conda's and pip's lines together; python, pip, ourselves left out."""
    lines = conda_file()["dependencies"]
    plain = [line for line in lines if isinstance(line, str)]
    pip = [line for part in lines if isinstance(part, dict) for line in part["pip"]]
    items = [Requirement(line) for line in plain + [line for line in pip if not line.startswith("-e")]]
    return {item.name.lower(): item.specifier for item in items if item.name not in ("python", "pip")}


def test_conda_file_lists_the_same_packages_and_versions():
    assert conda_requirements() == requirements()


def test_conda_file_asks_for_the_same_python():
    line = next(line for line in conda_file()["dependencies"] if str(line).startswith("python"))
    assert Requirement(line).specifier == SpecifierSet(PROJECT["project"]["requires-python"])


def test_conda_file_installs_this_folder():
    pip = next(part["pip"] for part in conda_file()["dependencies"] if isinstance(part, dict))
    assert "-e ." in pip and "pip" in conda_file()["dependencies"]


def test_every_package_has_a_floor_and_the_installed_one_keeps_it():
    needed = requirements()
    assert [name for name, spec in needed.items() if [part.operator for part in spec] != [">="]] == []
    here = {name: metadata.version(name) for name in needed}
    assert {name: here[name] for name, spec in needed.items() if not spec.contains(here[name], prereleases=True)} == {}


def test_contributors_get_all_that_users_and_tests_need():
    """The group `dev`: package, workbook, tests, and the tools that only a contributor runs."""
    itself, *tools = map(Requirement, PROJECT["dependency-groups"]["dev"])
    assert (itself.name, itself.extras) == ("panelmech", set(PROJECT["project"]["optional-dependencies"]))
    assert [str(tool) for tool in tools if [part.operator for part in tool.specifier] != [">="]] == []


def test_version_is_told_in_one_place():
    import panelmech

    assert metadata.version("panelmech") == panelmech.__version__


def test_data_files_are_part_of_the_package():
    from importlib import resources

    names = [entry.name for entry in resources.files("panelmech.materials").joinpath("data").iterdir()]
    assert [name for name in names if name.endswith(".toml")]
    assert resources.files("panelmech").joinpath("py.typed").is_file()
    assert PROJECT["tool"]["setuptools"]["package-data"] == {
        "panelmech": ["py.typed"],
        "panelmech.job": ["demo.json"],
        "panelmech.materials": ["data/*.toml"],
        "panelmech.panels": ["*.js"],
    }


def test_package_list_is_complete():
    folders = {path.parent for path in (ROOT / "panelmech").rglob("*.py")}
    assert [folder for folder in folders if not (folder / "__init__.py").exists()] == []
    assert PROJECT["tool"]["setuptools"]["packages"]["find"] == {"include": ["panelmech*"]}


def test_only_known_files_stand_at_the_top():
    assert {path.relative_to(ROOT).parts[0] for path in committed()} <= TOP_LEVEL


def test_imported_libraries_are_declared():
    """Whatever the tests and tools import is in pyproject.toml, not there by luck."""
    comes_along = {
        "pillow": "matplotlib",
        "contourpy": "matplotlib",
        "coverage": "nbval",
        "mpl_toolkits": "matplotlib",
        "nbformat": "nbclient",
        "ipython": "jupyterlab",
        "traitlets": "ipywidgets",
        "jupyter_server": "jupyterlab",
        "shapely": "sectionproperties",
        "xdist": "pytest-xdist",
    }
    known = set(requirements()) | set(comes_along) | {"panelmech", "yaml"}
    own = {path.stem for path in (ROOT / "tests").rglob("*.py")} | {"refresh", "roads"}
    used = set()
    for path in committed():
        if path.suffix == ".py":
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Import):
                    used |= {alias.name.split(".")[0] for alias in node.names}
                elif isinstance(node, ast.ImportFrom) and node.level == 0:
                    used.add(node.module.split(".")[0])
    names = {"PIL": "pillow", "axe_playwright_python": "axe-playwright-python"}
    outside = used - set(sys.stdlib_module_names) - own
    assert {name for name in outside if names.get(name, name).lower() not in known} == set()


# ----- committed text -----

# Written in pieces so that this file does not find itself.
UNWANTED = re.compile(
    "|".join(
        (
            r"(?<![\w.<])/" + r"(?:home|root|Users|tmp|mnt|work|private)/\w",
            r"\b[A-Z]:\\\\?" + r"Users",
            r"py" + r"pi\.org|python" + r"hosted\.org|anaconda" + r"\.org|npm" + r"js\.org|debian" + r"\.org",
        )
    )
)


def unwanted_in(text):
    return [
        f"line {number}: {found.group()}"
        for number, line in enumerate(text.splitlines(), start=1)
        for found in [UNWANTED.search(line)]
        if found
    ]


def test_committed_text_names_no_folder_and_no_registry():
    found = {}
    for path in committed():
        if path.suffix in TEXT:
            lines = unwanted_in(path.read_text(encoding="utf-8"))
            if lines:
                found[str(path.relative_to(ROOT))] = lines
    assert found == {}


@pytest.mark.parametrize("text", ["see /" + "home/someone/x", "C:\\" + "Users\\someone", "at py" + "pi.org/x"])
def test_the_scan_of_committed_text_can_fail(text):
    assert unwanted_in("fine\n" + text)[0].startswith("line 2")


def test_no_litter_is_committed():
    litter = re.compile(r"(^|/)(Untitled|\.ipynb_checkpoints|__pycache__|uv\.lock|temp(?!late)|tmp)")
    assert [str(path) for path in committed() if litter.search(path.relative_to(ROOT).as_posix())] == []


def test_text_files_have_plain_line_ends():
    wrong = [path.name for path in committed() if path.suffix in TEXT and b"\r" in path.read_bytes()]
    assert wrong == []
