"""Published values as dots on curves of ours: the pictures of `published.pictures`."""

from __future__ import annotations

from .figures import dot, figure, freeze, heading, in_style, line_style
from .look import CASE_LINES

SIDE_BY_SIDE = 170.0, 78.0  # mm


@in_style
def draw_published(ax, picture) -> None:
    """Lines of ours with a name each, dots of what is published in the colour of their line, each source named once."""
    for (name, x, y), look in zip(picture.lines, CASE_LINES, strict=False):
        ax.plot(x, y, label=name, **line_style(look))
    told = set()
    for spots, look in zip(picture.dots, CASE_LINES, strict=False):
        if spots:
            name, x, y = spots
            ax.plot(x, y, label=f"_{name}" if name in told else name, zorder=4, **dot(look.colour, 4.5))
            told.add(name)
    ax.set_xlabel(picture.across)
    ax.set_ylabel(picture.up)
    if picture.equal:
        ax.set_aspect("equal", adjustable="datalim")
    heading(ax, picture.title, 2)


def published_figure(pictures, width_mm: float = SIDE_BY_SIDE[0], height_mm: float = SIDE_BY_SIDE[1]):
    """One picture, or two side by side."""
    fig, axes = figure(width_mm, height_mm, 1, len(pictures), squeeze=False)
    for ax, picture in zip(axes[0], pictures, strict=True):
        draw_published(ax, picture)
    return freeze(fig)


def describe_published(pictures) -> str:
    """What the pictures show, in words.

    >>> from panelmech.published import lift_pictures
    >>> describe_published(lift_pictures())
    'Lift slope of a low blade: per radian over effective aspect ratio; as lines Whicker & Fehlner, Helmbold,
    lifting line, 0.9 of 2π; as dots Prestero 2001.'
    """
    return " ".join(_words(picture) for picture in pictures)


def _words(picture) -> str:
    lines = ", ".join(name for name, _, _ in picture.lines)
    names = dict.fromkeys(spots[0] for spots in picture.dots if spots)
    dots = f"; as dots {', '.join(names)}" if names else ""
    return f"{picture.title}: {picture.up} over {picture.across}; as lines {lines}{dots}."
