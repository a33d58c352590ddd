"""Lists and fields of the load panel, and what it says of things kept from a file. They compute nothing."""

from __future__ import annotations

from html import escape

import ipywidgets as widgets

from ..loads.hydrodynamics import LIFT_MODELS
from ..materials.water import OCEAN_SALINITY, water_density
from ..units import pretty_unit, show
from .load_limits import OWN_LIMITS
from .widgets import LABEL, WIDTH

LIFTS = [
    ("low blade: Whicker 1958", "whicker-fehlner"),
    ("low blade: Helmbold", "helmbold"),
    ("tall blade: lifting line", "lifting line"),
]  # words and key of `loads.hydrodynamics.LIFT_MODELS`


def lift_words(model):
    """Where a lift formula comes from, as HTML."""
    return (
        f'<p class="pm-quiet">{escape(LIFT_MODELS[model][1])}. The three agree within 15 % for aspect ratios of 1 '
        "to 6.</p>"
    )


def waters():
    """Waters to choose from: words and density [kg/m3]."""
    fresh, sea = water_density(15.0), water_density(15.0, OCEAN_SALINITY)
    return [(f"fresh, 15 °C: {show(fresh, 'kg/m3')}", fresh), (f"sea, 15 °C: {show(sea, 'kg/m3')}", sea)]


def kept_words(others):
    """What a file holds beyond the controls, as HTML."""
    words = (
        [
            f"Kept from the file as {'it is' if len(others) == 1 else 'they are'}: case "
            f"{escape(', '.join(case.name for case in others))}."
        ]
        if others
        else []
    )
    return f'<p class="pm-quiet">{" ".join(words)}</p>' if words else ""


def choose(control, value, options, words=None):
    """Choose a value; one that is not among the usual options joins them."""
    there = [option[1] if isinstance(option, tuple) else option for option in options]
    if value not in there:
        options = [*options, (words, value) if words else value]
    control.options = options
    control.value = value


def drop_list(kind, label, options):
    """A list to choose from, of class `pm-<kind>`."""
    control = widgets.Dropdown(
        options=options,
        description=label,
        style={"description_width": f"{LABEL}px"},
        layout=widgets.Layout(width=f"{WIDTH}px", margin="1px 0"),
    )
    control.add_class(f"pm-{kind}")
    return control


def words_field(kind, label):
    """A field for words, of class `pm-<kind>`."""
    field = widgets.Text(
        description=label,
        continuous_update=False,
        style={"description_width": f"{LABEL}px"},
        layout=widgets.Layout(width=f"{WIDTH}px", margin="1px 0"),
    )
    field.add_class(f"pm-{kind}")
    return field


def own_field(name):
    """A field for a limit of the user's own, of class `pm-own-<name>`; 0 for none."""
    label, unit = OWN_LIMITS[name]
    field = widgets.FloatText(
        value=0.0,
        description=f"{label}, {pretty_unit(unit)}",
        continuous_update=False,
        style={"description_width": f"{LABEL + 40}px"},
        layout=widgets.Layout(width=f"{LABEL + 140}px", margin="1px 0"),
    )
    field.add_class(f"pm-own-{name}")
    return field
