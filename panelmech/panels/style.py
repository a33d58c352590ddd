"""The style sheets of the panels: calm, in the colours of `look`, light or dark with JupyterLab's theme.

The picture keeps its paper white in both themes, since its colours are those of the printed plots.
"""

from __future__ import annotations

from ..draw.look import BAND, INK, PAPER, QUIET, RULE, VERDICT_COLOURS

WIDTH = 374  # pixels of a column of controls


def _light_colours():
    return "".join(f"--pm-{word}:{colour};" for word, colour in VERDICT_COLOURS.items())


def _dark_colours():
    return "".join(f"--pm-{word}:color-mix(in srgb,{colour} 45%,white);" for word, colour in VERDICT_COLOURS.items())


STYLE = f"""<style>
.pm-panel {{ --pm-ink:var(--jp-ui-font-color1,{INK}); --pm-quiet:var(--jp-ui-font-color2,{QUIET});
  --pm-rule:var(--jp-border-color2,{RULE}); --pm-band:var(--jp-layout-color2,{BAND}); {_light_colours()} }}
body[data-jp-theme-light="false"] .pm-panel {{ {_dark_colours()} }}
.pm-panel .widget-html-content {{ line-height:1.45; color:var(--pm-ink); font-size:13px; }}
.pm-panel .pm-picture .widget-html-content {{ line-height:0; background:{PAPER}; border-radius:4px; }}
.pm-panel .pm-band {{ background:var(--pm-band); border-left:5px solid currentColor; padding:7px 12px;
  border-radius:2px; font-size:14px; line-height:1.4; }}
.pm-panel .pm-band, .pm-panel .pm-tag {{ color:var(--pm-ink); }}
{
    "".join(
        f'''
.pm-panel .pm-band.pm-is-{word} {{ border-left-color:var(--pm-{word}); }}
.pm-panel .pm-band.pm-is-{word} > b, .pm-panel .pm-tag.pm-is-{word} {{ color:var(--pm-{word}); }}'''
        for word in VERDICT_COLOURS
    )
}
.pm-panel .pm-tag {{ white-space:nowrap; }}
.pm-panel .pm-mark {{ display:inline-block; min-width:1.1em; text-align:center; }}
.pm-panel table.pm-table {{ border-collapse:collapse; width:100%; margin:0; font-size:13px;
  table-layout:auto; color:var(--pm-ink); }}
.pm-panel table.pm-table tr {{ background:none; border-bottom:1px solid var(--pm-rule); }}
.pm-panel table.pm-table th, .pm-panel table.pm-table td {{ text-align:left; vertical-align:baseline;
  padding:4px 10px 4px 0; font-weight:400; max-width:none; white-space:normal; background:none; border:0; }}
.pm-panel table.pm-table thead th {{ color:var(--pm-quiet); font-weight:600; }}
.pm-panel table.pm-table th.pm-group {{ color:var(--pm-quiet); font-weight:600; padding-top:10px; }}
.pm-panel table.pm-table .pm-number {{ text-align:right; white-space:nowrap; font-variant-numeric:tabular-nums;
  padding-right:18px; }}
.pm-panel .pm-advice, .pm-panel .pm-quiet {{ color:var(--pm-quiet); font-size:12px; }}
.pm-panel .pm-quiet {{ margin:6px 0 0; }}
.pm-panel .pm-side {{ display:flex; flex-wrap:wrap; gap:4px 32px; align-items:flex-start; }}
.pm-panel .pm-side > * {{ flex:1 1 310px; width:auto; }}
.pm-panel .pm-notes-list {{ list-style:none; margin:0; padding:0; }}
.pm-panel .pm-plain {{ margin:2px 0; padding-left:18px; }}
.pm-panel .pm-notes-list .pm-mark {{ color:var(--pm-note); }}
.pm-panel .pm-judgement .jp-Collapse-contents {{ padding:6px 0 2px; border:0; overflow:visible; }}
.pm-panel details {{ margin:2px 0; }}
.pm-panel summary {{ cursor:pointer; color:var(--pm-quiet); font-weight:600; }}
.pm-panel .pm-heading {{ color:var(--pm-quiet); font-weight:600; margin:6px 0 0; }}
.pm-panel a {{ color:var(--jp-content-link-color,{INK}); text-decoration:underline; }}
.pm-panel .pm-old th, .pm-panel .pm-old td {{ opacity:.45; }}
.pm-panel .pm-stale {{ opacity:.35; filter:grayscale(1); }}
.pm-panel .pm-stale.pm-verdict {{ display:none; }}
.pm-panel .widget-text.widget-inline-hbox input[type="number"] {{ text-align:right; }}
.pm-panel .pm-group-box {{ padding:0 0 6px 2px; break-inside:avoid; }}
.pm-panel .pm-controls {{ display:block; columns:{WIDTH}px; column-gap:20px; }}
.pm-panel select, .pm-panel input, .pm-panel textarea {{ font-family:inherit; }}
.pm-panel .widget-slider .noUi-connect {{ background:var(--jp-brand-color1,{QUIET}); }}
.pm-panel .widget-label {{ color:var(--pm-ink); }}
.pm-stored {{ max-width:900px; font-size:13px; line-height:1.45; }}
.pm-folded > summary {{ cursor:pointer; color:var(--jp-ui-font-color2,{QUIET}); font-size:12px; }}
</style>"""

# panels with views
VIEWS_STYLE = f"""<style>
.pm-panel .pm-map-frame {{ position:relative; display:block; max-width:960px; overflow:hidden; }}
.pm-panel .pm-map {{ display:block; }}
.pm-panel .pm-spots {{ position:absolute; display:grid; overflow:hidden; }}
.pm-panel .pm-spot, .pm-panel .pm-spot:hover, .pm-panel .pm-spot:focus {{ background:transparent; border:0;
  box-shadow:none; min-width:0; cursor:crosshair; }}
.pm-panel .pm-spot:hover {{ outline:1.5px solid {INK}; outline-offset:-1.5px; background:rgba(255,255,255,.22); }}
.pm-panel .pm-question .widget-toggle-button {{ margin:0 4px 0 0; }}
.pm-panel .pm-here-words {{ margin:0; font-size:14px; }}
.pm-panel .pm-shown img {{ display:block; border-radius:4px; }}
.pm-panel .pm-alt p {{ margin:2px 0 6px; max-width:920px; }}
.pm-panel .pm-sizing p, .pm-panel .pm-scatter p {{ margin:2px 0; font-size:14px; }}
.pm-panel .pm-scatter-tables table + table {{ margin-top:12px; }}
.pm-panel .pm-ranking {{ max-height:430px; overflow-y:auto; }}
.pm-panel .pm-ranking thead th {{ white-space:normal !important; position:sticky; top:0;
  background:var(--jp-layout-color0,{PAPER}) !important; }}
.pm-panel .pm-below {{ border-top:1px solid var(--pm-rule); margin-top:10px; padding-top:4px; }}
</style>"""

# the panel of matched pairs
READINGS_STYLE = """<style>
.pm-panel .pm-readings input { text-align:left; }
.pm-panel .pm-readings .pm-wrong input { outline:2px solid var(--pm-fails); outline-offset:-2px; }
.pm-panel .pm-readings .jp-Collapse-contents { overflow-x:auto; }
.pm-panel .pm-below + .pm-verdict { margin-bottom:4px; }
.pm-panel .pm-clamp-said p, .pm-panel .pm-later-said p, .pm-panel .pm-named-said p, .pm-panel .pm-offsets-said p,
.pm-panel .pm-steering p {
  margin:2px 0; }
.pm-panel .pm-moduli table.pm-table .pm-number { white-space:normal; padding-right:10px; }
.pm-panel .pm-uneven .pm-side, .pm-panel .pm-sheets table, .pm-panel .pm-rod table { margin-top:8px; }
</style>"""

# the load panel
LOADS_STYLE = """<style>
.pm-panel .pm-load-picture .widget-html-content { line-height:0; background:#ffffff; border-radius:4px; }
.pm-panel .pm-load-said p, .pm-panel .pm-rod-said p, .pm-panel .pm-float p, .pm-panel .pm-fittings p,
.pm-panel .pm-load-sizing p { margin:2px 0 6px; font-size:14px; }
.pm-panel .pm-question .widget-toggle-buttons { flex-wrap:wrap; }
.pm-panel .pm-stations, .pm-panel .pm-cases, .pm-panel .pm-load-checks { overflow-x:auto; }
.pm-panel .pm-stations thead th, .pm-panel .pm-cases thead th, .pm-panel .pm-rod-said thead th {
  white-space:normal !important; }
.pm-panel .pm-judgement .widget-dropdown, .pm-panel .pm-judgement .widget-text:not(input),
.pm-panel .pm-judgement .widget-slider, .pm-panel .pm-judgement .jupyter-widgets.widget-accordion,
.pm-panel .pm-judgement .pm-judgement { max-width:100%; }
.pm-panel .pm-cases table.pm-table .pm-number, .pm-panel .pm-load-checks table.pm-table .pm-number,
.pm-panel .pm-fittings table.pm-table .pm-number { padding-right:10px; }
.pm-panel .pm-stations table.pm-table { font-size:12px; }
.pm-panel .pm-stations table.pm-table .pm-number { padding-right:6px; }
</style>"""
