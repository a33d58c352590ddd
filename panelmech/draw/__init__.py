"""Pictures of records, on axes that are given: matplotlib figures, live SVG, templates at true scale. No mechanics.

May use: matplotlib, ezdxf where it writes, and the rooms below. What is light (look, shapes, digest, live_svg) must not
bring matplotlib in: this door fetches a heavy function when it is asked for. Verbs: draw a figure, say in words what
it shows, digest it as text, make its bytes.

Why it is so
- The live picture is SVG text: only a small SVG keeps up with a drag, and it can be tested as text.
- The live map is a PNG by matplotlib, the figure kept from move to move, what stays the same kept as pixels: it needs
  bands, hatching and names. A test compares it with a fresh drawing, pixel by pixel.
- No pyplot: it keeps figures alive and changes the caller's backend. Files repeat byte for byte.
- A DXF is written by ezdxf, release 2007: the file itself says millimetres, arcs stay arcs for a cutter, titles keep
  their letters. SVG is so plain that our own few lines do.
- Every page of templates is a figure of the paper's size with two check bars and the offset table: paper shrinks.
- Allowables of one quantity stand beside each diagram, all loads together as bars: a line for the sum would hang on
  the case.
"""

from .._door import thin_door

_VERBS = {  # module: what is fetched from it when first named
    "digest": "figure_digest",
    "figures": "figure_bytes",
    "study_figures": "against_wedge_figure along_figure describe_against_wedge describe_along overlay_figure "
    "ratios_figure section_figure",
    "section_figures": "describe_section",
    "ratio_figures": "describe_ratios",
    "map_figures": "describe_map map_figure map_outputs",
    "trade_off_figures": "describe_front describe_scatter describe_shares describe_sizing front_figure scatter_figure "
    "shares_figure sizing_figure",
    "pair_figures": "camber_map_figure cambered_figure describe_camber_map describe_cambered describe_log "
    "describe_named describe_offsets describe_thickness log_figure named_figure offsets_figure thickness_figure",
    "blade_figures": "blade_figure describe_blade planform_figure",
    "load_figures": "describe_loads loads_figure",
    "pour_figures": "describe_schedule",
    "pressing_figures": "describe_pressing pressing_figure",
    "shop_figures": "heat_figures schedule_plot stock_figure",
    "template_pages": "template_sheets",
    "published_figures": "describe_published published_figure",
}

__getattr__, __dir__, __all__ = thin_door(__name__, _VERBS)
