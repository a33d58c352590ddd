"""What is said and handed over: rows, blocks, pages, PDF, folders of files."""

from .published import load_answers

__all__ = [
    "load_answers",
]
