"""Print the README's test command, with its virtual environment moved to another folder.

python3 .ci/readme_command.py FOLDER
"""

import re
import sys
from pathlib import Path

README = Path(__file__).resolve().parents[1] / "README.md"


def test_command(folder):
    """The one line of the README that ends in `-m pytest -n auto`, with `.venv` replaced by `folder`."""
    blocks = re.findall(r"^```sh\n(.*?)^```$", README.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    found = [line for block in blocks for line in block.splitlines() if line.endswith("-m pytest -n auto")]
    if len(found) != 1 or ".venv" not in found[0]:
        sys.exit(f"the README should hold one test command that sets up .venv, found {found}")
    return re.sub(r"(?<!\S)\.venv(?=[/\s])", folder, found[0])


if __name__ == "__main__":
    print(test_command(*sys.argv[1:]))
