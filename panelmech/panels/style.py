"""The style sheets of the panels: calm, in the colours of `look`, light or dark with JupyterLab's theme.

The picture keeps its paper white in both themes, since its colours are those of the printed plots.
"""

from __future__ import annotations

from ..draw.look import BAND, INK, PAPER, QUIET, RULE, VERDICT_COLOURS


def _light_colours():
    return "".join(f"--pm-{word}:{colour};" for word, colour in VERDICT_COLOURS.items())


def _dark_colours():
    return "".join(f"--pm-{word}:color-mix(in srgb,{colour} 45%,white);" for word, colour in VERDICT_COLOURS.items())


_ENTRY = """
.pm-entry { display:grid; grid-template-columns:minmax(84px,150px) minmax(40px,1fr) 92px; column-gap:10px;
  align-items:center; min-height:28px; margin:1px 0; overflow:visible; font-size:13px; line-height:1.25;
  color:var(--pm-ink); }
.pm-entry:not(:has(.pm-handle)) { grid-template-columns:minmax(60px,1fr) 0 92px; column-gap:4px; }
.pm-entry:not(:has(.pm-handle)) .pm-label { grid-column:1 / -2; }
.pm-entry .pm-field { grid-column:-2; }
.pm-entry .pm-label { overflow-wrap:anywhere; }
.pm-entry .pm-field { box-sizing:border-box; width:100%; height:26px; padding:2px 6px; font-size:13px; margin:0;
  text-align:right; color:var(--pm-ink); background:var(--jp-layout-color1,#ffffff);
  border:1px solid var(--pm-edge); border-radius:3px; }
.pm-entry textarea.pm-field { height:auto; text-align:left; }
.pm-entry.pm-words .pm-field { text-align:left; }
.pm-entry .pm-says { grid-column:1 / -1; text-align:right; color:var(--pm-quiet); font-size:12px; padding:1px 0 3px; }
.pm-entry.pm-wrong .pm-field, .pm-entry.pm-wrong .pm-field:focus { border:2px solid var(--pm-fails) !important;
  box-shadow:0 0 0 1px var(--pm-fails) !important; padding:1px 5px; }
.pm-entry.pm-wrong .pm-says { color:var(--pm-fails); text-align:left; }
.pm-entry .pm-handle { position:relative; height:22px; cursor:pointer; touch-action:none; margin:0 8px; }
.pm-entry .pm-handle::before { content:""; position:absolute; left:-6px; right:-6px; top:9px; height:4px;
  border-radius:2px; background:var(--pm-rail); }
.pm-entry .pm-filled { position:absolute; left:-6px; top:9px; height:4px; border-radius:2px; margin-right:6px;
  background:var(--pm-knob); }
.pm-entry .pm-knob { position:absolute; top:4px; width:14px; height:14px; margin-left:-7px; border-radius:50%;
  background:var(--pm-knob); border:2px solid var(--jp-layout-color0,#ffffff); box-sizing:border-box; }
.pm-entry .pm-handle:focus-visible { border-radius:4px; }
.pm-fold { display:block; width:100%; text-align:left; padding:6px 8px; margin:2px 0; border:0; border-radius:3px;
  background:var(--pm-band); color:var(--pm-ink); font-size:13px; font-weight:600; cursor:pointer; }
.pm-fold::before { content:"▸"; display:inline-block; width:1.2em; }
.pm-fold[aria-expanded="true"]::before { content:"▾"; }
.pm-panel .pm-folded-in { padding:4px 2px 8px 10px; }
.pm-image { display:block; width:100%; border-radius:4px; }
.pm-spoken { position:absolute; width:1px; height:1px; overflow:hidden; clip-path:inset(50%); white-space:nowrap; }
"""

# Picture, verdict and the first inputs stay together: side by side where there is room, else one below the other.
_BENCH = """
.pm-panel { container-type:inline-size; width:100%; max-width:1500px; position:relative; }
.pm-panel, .pm-panel .widget-box, .pm-panel .widget-html, .pm-panel .widget-html-content { overflow:visible; }
:is(.jp-Cell, .jp-Cell-outputWrapper, .jp-Cell-outputArea, .jp-OutputArea, .jp-OutputArea-child,
  .jp-OutputArea-output, .jupyter-widgets-view):has(.pm-panel.widget-box) { overflow:visible !important; }
.pm-panel > .widget-html { display:none; }
.pm-panel .pm-bench { display:flex; flex-direction:column; gap:8px 22px; width:100%; }
.pm-panel .pm-bench-main { display:contents; }
.pm-panel .pm-bench-head { position:sticky; top:0; z-index:6; padding:4px 0 6px; width:100%;
  background:var(--jp-layout-color0,#ffffff); }
.pm-panel .pm-controls { width:100%; padding-top:4px; }
.pm-panel .pm-bench-rest { order:2; width:100%; display:flex; flex-direction:column; gap:8px; }
.pm-panel .pm-controls { order:1; }
.pm-panel .pm-picture svg { display:block; width:100%; height:auto; max-height:max(84px, 20vh); }
.pm-panel .pm-first { display:grid; grid-template-columns:repeat(auto-fill, minmax(min(100%, 172px), 1fr));
  gap:1px 16px; width:100%; align-items:start; padding-top:2px; }
.pm-panel .pm-first .pm-entry, .pm-panel .pm-first .pm-entry:not(:has(.pm-handle)) {
  grid-template-columns:1fr 70px; min-height:0; }
.pm-panel .pm-first .pm-entry .pm-handle { grid-row:2; grid-column:1 / -1; height:12px; }
.pm-panel .pm-first .pm-handle::before, .pm-panel .pm-first .pm-filled { top:4px; }
.pm-panel .pm-first .pm-knob { top:-1px; }
.pm-panel .pm-first .pm-field { height:24px; }
.pm-panel .pm-first .widget-dropdown { width:auto !important; margin:0 0 12px; }
.pm-panel .pm-first .widget-dropdown .widget-label { width:auto !important; min-width:44px; }
.pm-panel .pm-flow { display:grid; grid-template-columns:repeat(auto-fill, minmax(min(100%, 300px), 1fr));
  gap:0 20px; width:100%; }
.pm-panel .pm-flow .jupyter-widgets:not(.pm-entry) { width:auto !important; }
.pm-panel .pm-bench .pm-band { padding:4px 10px; font-size:13px; }
.pm-panel .pm-job-line { align-items:center; width:100%; gap:6px; margin-bottom:-6px; }
.pm-panel .pm-job-line .pm-job { flex:1 1 0; min-width:0; width:auto !important; }
.pm-panel .pm-job-line button { flex:0 0 auto; width:auto !important; height:22px; line-height:20px; font-size:12px;
  margin:0; padding:0 8px; }
.pm-panel .pm-job-line .pm-band { margin-top:3px; }
.pm-panel.jupyter-widgets-disconnected::before { display:block; padding:6px 12px; font-size:14px; font-weight:600;
  color:var(--pm-ink); background:var(--pm-band); border-left:5px solid var(--pm-fails);
  content:"The kernel was restarted, and this panel is asleep. What was set is kept: click the cell above \
and press Shift+Enter."; }
.pm-panel .pm-shelf { list-style:none; margin:6px 0 0; padding:0; }
.pm-panel .pm-shelf li { display:flex; gap:10px; align-items:center; padding:4px 0;
  border-top:1px solid var(--pm-rule); }
.pm-panel .pm-shelf p { margin:0; color:var(--pm-quiet); font-size:12px; line-height:1.3; }
.pm-panel .pm-thumbnail { flex:0 0 96px; width:96px; height:32px; background:#ffffff; border-radius:3px; }
.pm-panel .pm-history { overflow-x:auto; }
.pm-panel .pm-change p { margin:4px 0; font-size:13px; line-height:1.35; border-left:5px solid var(--pm-rule);
  padding-left:10px; }
.jp-Notebook:has(.pm-panel.widget-box) .jp-MarkdownCell h1:first-child { font-size:20px; margin:0 0 4px; }
.jp-Notebook:has(.pm-panel.widget-box) .jp-MarkdownCell h1 + p { margin:0; line-height:1.35; }
@container (max-width: 420px) {
  .pm-panel .pm-first { grid-template-columns:repeat(auto-fill, minmax(min(100%, 140px), 1fr)); gap:1px 14px; }
  .pm-panel .pm-first .pm-entry, .pm-panel .pm-first .pm-entry:not(:has(.pm-handle)) {
    grid-template-columns:1fr 62px; column-gap:6px; }
  .pm-panel .pm-first .pm-label { font-size:12px; line-height:1.15; }
  .pm-panel .pm-bench .pm-band { line-height:1.3; padding:3px 8px; }
  .pm-panel .pm-picture svg { max-height:16vh; }
}
@container (min-width: 560px) {
  .pm-panel .pm-first { grid-template-columns:repeat(2, minmax(0, 1fr)); }
  .pm-panel .pm-first .pm-entry, .pm-panel .pm-first .pm-entry:not(:has(.pm-handle)) {
    grid-template-columns:minmax(84px,138px) minmax(30px,1fr) 78px; min-height:28px; }
  .pm-panel .pm-first .pm-entry .pm-handle { grid-row:auto; grid-column:auto; height:22px; }
  .pm-panel .pm-first .pm-handle::before, .pm-panel .pm-first .pm-filled { top:9px; }
  .pm-panel .pm-first .pm-knob { top:4px; }
  .pm-panel .pm-first .pm-field { height:26px; }
  .pm-panel .pm-first .widget-dropdown { margin:0; }
  .pm-panel .pm-bench .pm-band { padding:6px 12px; font-size:14px; }
}
@container (min-width: 900px) {
  .pm-panel .pm-bench { flex-direction:row; }
  .pm-panel .pm-controls { flex:0 0 374px; width:374px; order:0; }
  .pm-panel .pm-bench-main { display:flex; flex-direction:column; flex:1 1 0; min-width:0; order:1; gap:8px; }
  .pm-panel .pm-first { display:block; }
  .pm-panel .pm-first .pm-entry, .pm-panel .pm-first .pm-entry:not(:has(.pm-handle)) {
    grid-template-columns:minmax(84px,150px) minmax(40px,1fr) 92px; }
  .pm-panel .pm-first .widget-dropdown { width:100% !important; }
  .pm-panel .pm-first .widget-dropdown .widget-label { width:150px !important; }
  .pm-panel .pm-picture svg { max-height:38vh; }
}
"""

STYLE = f"""<style>
.pm-panel {{ --pm-focus:#0b57d0; --pm-edge:#767676; --pm-rail:#c4c4c4; --pm-knob:#44546a;
  --pm-ink:var(--jp-ui-font-color1,{INK}); --pm-quiet:var(--jp-ui-font-color2,{QUIET});
  --pm-rule:var(--jp-border-color2,{RULE}); --pm-band:var(--jp-layout-color2,{BAND}); {_light_colours()} }}
body[data-jp-theme-light="false"] .pm-panel {{ --pm-focus:#8ab4f8; --pm-edge:#8c8c8c; --pm-rail:#5a5a5a;
  --pm-knob:#b4c0d0; {_dark_colours()} }}
body[data-jp-theme-light="false"] :is(.pm-panel :is(.pm-picture svg, .pm-load-picture svg, .pm-image),
  .jp-RenderedImage img) {{ filter:invert(.93) hue-rotate(180deg); }}
.pm-panel .widget-html-content {{ line-height:1.45; color:var(--pm-ink); font-size:13px; }}
.pm-panel .pm-picture .widget-html-content {{ line-height:0; }}
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
.pm-panel table.pm-table .pm-number .pm-words, .pm-panel table.pm-table thead th.pm-number {{ white-space:normal; }}
.pm-panel .pm-advice, .pm-panel .pm-quiet {{ color:var(--pm-quiet); font-size:12px; }}
.pm-panel .pm-quiet {{ margin:6px 0 0; }}
.pm-panel .pm-side {{ display:flex; flex-wrap:wrap; gap:4px 32px; align-items:flex-start; }}
.pm-panel .pm-side > * {{ flex:1 1 310px; width:auto; }}
.pm-panel .pm-notes-list {{ list-style:none; margin:0; padding:0; }}
.pm-panel .pm-plain {{ margin:2px 0; padding-left:18px; }}
.pm-panel .pm-notes-list .pm-mark {{ color:var(--pm-note); }}
.pm-panel details {{ margin:2px 0; }}
.pm-panel summary {{ cursor:pointer; color:var(--pm-quiet); font-weight:600; }}
.pm-panel .pm-heading {{ color:var(--pm-quiet); font-weight:600; margin:6px 0 0; }}
.pm-panel a {{ color:var(--jp-content-link-color,{INK}); text-decoration:underline; }}
.pm-panel .pm-old th, .pm-panel .pm-old td {{ opacity:.45; }}
.pm-panel .pm-default td:last-child {{ font-style:italic; }}
.pm-panel .pm-stale {{ opacity:.35; filter:grayscale(1); }}
.pm-panel .pm-stale.pm-verdict {{ display:none; }}
.pm-panel .pm-group-box {{ padding:0 0 6px; }}
.pm-panel select, .pm-panel input, .pm-panel textarea, .pm-panel button {{ font-family:inherit; }}
.pm-panel .widget-label {{ color:var(--pm-ink); }}
.pm-panel .pm-controls .widget-label {{ text-align:left; justify-content:flex-start; }}
.pm-panel .widget-label::first-letter {{ text-transform:uppercase; }}
.pm-panel :is(button, select, input, textarea, summary, a, [tabindex="0"]):focus-visible {{
  outline:3px solid var(--pm-focus) !important; outline-offset:1px !important; }}
{_ENTRY}
{_BENCH}
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
.pm-panel .pm-entry:is([class*=pm-sample-], .pm-together) {{ grid-template-columns:150px 0 minmax(120px,1fr); }}
.pm-panel .pm-scatter-tables table.pm-table .pm-number {{ padding-right:8px; }}
.pm-panel .pm-scatter-tables table[aria-label="What causes the scatter"] td.pm-number {{ white-space:normal; }}
.pm-panel :is(.pm-compared, .pm-compared-rows) :is(thead th, td) {{ white-space:normal !important; }}
.pm-panel .pm-compared {{ margin-bottom:6px; }}
.pm-panel .pm-entry.pm-price {{ grid-template-columns:minmax(60px,1fr) 150px; }}
.pm-panel .pm-ranking {{ max-height:430px; overflow-y:auto; }}
.pm-panel .pm-ranking thead th {{ position:sticky; top:0;
  background:var(--jp-layout-color0,{PAPER}) !important; }}
.pm-panel .pm-below {{ border-top:1px solid var(--pm-rule); margin-top:10px; padding-top:4px; }}
</style>"""

# the panel of matched pairs
READINGS_STYLE = """<style>
.pm-panel .pm-readings .pm-entry { grid-template-columns:16px minmax(0,1fr); column-gap:4px; min-height:0;
  align-self:flex-start; }
.pm-panel .pm-readings .pm-entry:has(.pm-label:empty) { grid-template-columns:minmax(0,1fr); }
.pm-panel .pm-readings .pm-label:empty { display:none; }
.pm-panel .pm-readings .pm-field, .pm-panel .pm-readings .pm-says { text-align:left; }
.pm-panel .pm-readings .pm-doubt .pm-field { border:2px dashed var(--pm-unsure); padding:1px 5px; }
.pm-panel .pm-readings .pm-doubt .pm-says { color:var(--pm-ink); }
.pm-panel .pm-below + .pm-verdict { margin-bottom:4px; }
.pm-panel .pm-clamp-said p, .pm-panel .pm-later-said p, .pm-panel .pm-named-said p, .pm-panel .pm-offsets-said p,
.pm-panel .pm-steering p {
  margin:2px 0; }
.pm-panel .pm-moduli table.pm-table .pm-number { white-space:normal; padding-right:10px; }
.pm-panel .pm-uneven .pm-side, .pm-panel .pm-sheets table, .pm-panel .pm-rod table { margin-top:8px; }
</style>"""

# the load panel
LOADS_STYLE = """<style>
.pm-panel .pm-load-picture .widget-html-content { line-height:0; }
.pm-panel .pm-load-said p, .pm-panel .pm-rod-said p, .pm-panel .pm-float p, .pm-panel .pm-fittings p,
.pm-panel .pm-load-sizing p { margin:2px 0 6px; font-size:14px; }
.pm-panel .pm-question .widget-toggle-buttons { flex-wrap:wrap; }
.pm-panel .pm-stations, .pm-panel .pm-cases, .pm-panel .pm-load-checks { overflow-x:auto; }
.pm-panel .pm-cases table.pm-table .pm-number, .pm-panel .pm-load-checks table.pm-table .pm-number,
.pm-panel .pm-fittings table.pm-table .pm-number { padding-right:10px; }
.pm-panel .pm-stations table.pm-table { font-size:12px; }
.pm-panel .pm-stations table.pm-table .pm-number { padding-right:6px; }
</style>"""

# the form for stock of one's own: a property in one line where there is room, else its note below its value
OWN_STYLE = """<style>
.pm-panel .pm-own-stock { container-type:inline-size; width:100%; }
.pm-panel .pm-own-stock p.pm-quiet { margin:0 0 4px; }
.pm-panel .pm-own-stock .pm-own-kind { max-width:calc(100% - 4px); }
.pm-panel .pm-own-stock .pm-own-kind .widget-label { flex:0 0 90px; }
.pm-panel .pm-own-row { display:grid; grid-template-columns:146px minmax(0,1fr); gap:2px 8px; align-items:center;
  width:100%; padding:5px 0; border-top:1px solid var(--pm-rule); }
.pm-panel .pm-own-row > .pm-entry { grid-column:1 / -1; width:auto; }
.pm-panel .pm-own-stock .pm-entry:is(.pm-own-list, .pm-words) { grid-template-columns:minmax(96px,1fr) 1.6fr; }
.pm-panel .pm-own-list .pm-field { text-align:left; }
.pm-panel .pm-own-row .widget-label { position:absolute; width:1px; height:1px; overflow:hidden;
  clip-path:inset(50%); white-space:nowrap; }
.pm-panel .pm-own-row :is(.widget-dropdown, .widget-combobox) { position:relative; margin:0; min-width:0; }
.pm-panel .pm-own-row :is(select, .widget-combobox input) { width:100%; min-width:0; font-size:12px; }
@container (min-width: 640px) {
  .pm-panel .pm-own-row { grid-template-columns:minmax(240px,1fr) 146px minmax(160px,1fr); }
  .pm-panel .pm-own-row > .pm-entry { grid-column:1; }
  .pm-panel .pm-own-row > .pm-entry + .pm-entry { grid-row:2; }
}
</style>"""
