"""Never "stiffer" without saying which stiffness, nor a ratio without saying of what to what: in every sentence of the
source, of the notebooks with their stored outputs, and of the papers for people who read first.
"""

import ast
import html
import io
import json
import re
import tokenize
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SOURCES = sorted((ROOT / "panelmech").rglob("*.py"))
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
PAGES = [ROOT / name for name in ("README.md", "CHANGES.md")]
STIFF = re.compile(r"\b(stiff|stiffer|stiffest|softer|softest)\b", re.IGNORECASE)
WHICH = re.compile(  # names of a stiffness, or that there are several
    r"bending|stretch|tension|torsion|twist|\bE[IA]\b|\bGJ\b|modul|shear|in-plane|axial|buckl|pressed|"
    r"measure|meaning|respect|which stiffness|propped|\bin$|in \.\.\.|stiff multistep|ratio bent over wedge|"
    r"about the chord|often said in the trade",
    re.IGNORECASE,
)
DOCUMENTED = (ast.Module, ast.ClassDef, ast.FunctionDef)
RATIO = re.compile(r"\bratios?\b(?!\.\w)", re.IGNORECASE)
OF_WHAT = re.compile(  # of what to what; or a name by which everyone knows that
    r"ratios? (of|between)\b|\bover\b|\bto\b|bent over|Poisson|aspect.ratio|by (weight|volume)|by w\b|by v\b|"
    r"tolerance of the ratio|off ratio|never change the ratio|mixing|axes in the ratio|two ratios",
    re.IGNORECASE,
)


def sentences(text):
    """One by one, without markup."""
    text = re.sub(r"</?(p|li|td|th|tr|div|summary|text|option|button|label)\b[^>]*>", "\n\n", text)
    text = html.unescape(re.sub(r"<[^>]*>", " ", text))
    for piece in re.split(r"(?<=[.;!?])\s+|\n\s*\n|\n(?=[-*|] )| \| ", text):
        if piece.strip():
            yield " ".join(piece.split())


def source_texts(path):
    """(text, whether a user may read it) of every string, docstring and comment of a module."""
    source = path.read_text(encoding="utf-8")
    tree = ast.parse(source)
    documented = (n for n in ast.walk(tree) if isinstance(n, DOCUMENTED) and ast.get_docstring(n, False) is not None)
    docs = {id(node.body[0].value) for node in documented}
    inside = {id(v) for n in ast.walk(tree) if isinstance(n, ast.JoinedStr) for v in n.values}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield "".join(v.value if isinstance(v, ast.Constant) else "…" for v in node.values), True
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in inside:
            yield node.value, id(node) not in docs
    yield from ((text, False) for text in comments(source))


def comments(source):
    """Comments of neighbouring lines as one text."""
    block, last = [], None
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.COMMENT:
            if block and token.start[0] != last + 1:
                yield " ".join(block)
                block = []
            block.append(token.string.lstrip("# "))
            last = token.start[0]
    yield " ".join(block)


def notebook_texts(path):
    """Prose and stored text outputs."""
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] == "markdown":
            yield "".join(cell["source"])
        for output in cell.get("outputs", ()):
            yield "".join(output.get("text", ""))
            for kind, data in output.get("data", {}).items():
                if kind.startswith("text/"):
                    yield re.sub(r"(?s)<(style|svg|script)\b.*?</\1>|base64,[\w+/=]+", " ", "".join(data))


def vague(text, user=True):
    """The sentences that say stiffer without which, or (for users) ratio without of what."""
    for sentence in sentences(text):
        several = len(sentence.split()) > 1
        stiff = several and STIFF.search(sentence) and not WHICH.search(sentence)
        ratio = user and RATIO.search(sentence) and len(sentence.split()) > 3 and not OF_WHAT.search(sentence)
        if stiff or ratio:
            yield sentence


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_sentences_of_the_source(path):
    assert [s for text, user in source_texts(path) for s in vague(text, user)] == []


@pytest.mark.parametrize("path", [*NOTEBOOKS, *PAGES], ids=lambda p: p.name)
def test_sentences_of_notebooks_and_pages(path):
    texts = notebook_texts(path) if path.suffix == ".ipynb" else [path.read_text(encoding="utf-8")]
    assert [s for text in texts for s in vague(text)] == []


@pytest.mark.parametrize(
    ("text", "bad"),
    [
        ("The bent pair is stiffer.", True),
        ("The bent pair is stiffer in bending about the chord line.", False),
        ("Which is stiffer depends on which stiffness is meant.", False),
        ("These readings say nothing of the ratio.", True),
        ("The ratio of its bending stiffness to that of the wedge is 0.77.", False),
    ],
)
def test_a_vague_sentence_is_noticed(text, bad):
    assert bool(list(vague(text))) is bad
