"""Pictures of records on axes that are given: matplotlib figures and live SVG. No mechanics."""

from .digest import figure_digest
from .study_figures import figure_bytes
from .template_pages import template_sheets
from .trade_off_figures import sizing_figure

__all__ = [
    "figure_bytes",
    "figure_digest",
    "sizing_figure",
    "template_sheets",
]
