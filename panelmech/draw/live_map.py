"""A map that follows a hand: drawn again at every move, with what stays the same kept as pixels.

Most of the time of drawing goes into text. Ticks, their numbers, the names of the axes, the colour bar, the title and
the legend stay the same from most moves to the next: they are drawn once, and their pixels are put back under what has
changed. The picture is the same, pixel by pixel, as one drawn from the start (tested).
"""

from __future__ import annotations

import io

import numpy as np
from matplotlib.image import imsave
from matplotlib.text import Text

from .figures import in_style
from .map_figures import map_figure, redraw_map

FASTEST = 1  # of zlib: the nine levels differ by some per cent in size, and tenfold in time


class LiveMap:
    """A map of a size [mm] and sharpness [dots per inch]: `draw` it, then take `quick_png` or the `figure` itself."""

    def __init__(self, width_mm: float, height_mm: float, dpi: float):
        self.size, self.dpi = (width_mm, height_mm), dpi
        self.figure, self._kept, self._pixels = None, None, None

    def draw(self, sweep, output: str, design=None) -> None:
        """Lay out the map of a sweep, see `draw.map_figures.draw_map`."""
        if self.figure is None:
            self.figure = map_figure(sweep, output, design, *self.size)
            self.figure.set_dpi(self.dpi)
        else:
            redraw_map(self.figure, sweep, output, design)

    @in_style
    def quick_png(self) -> bytes:
        """The map as a PNG file: the fixed parts from the last one where they are the same."""
        canvas, moving = self.figure.canvas, self._moving()
        key = self._fixed_key()
        if key != self._kept:
            with _hidden(moving):
                canvas.draw()
            self._kept, self._pixels = key, canvas.copy_from_bbox(self.figure.bbox)
        renderer = canvas.get_renderer()
        canvas.restore_region(self._pixels)
        with _hidden(self._fixed()):
            self.figure.draw(renderer)
        buffer = io.BytesIO()
        imsave(buffer, np.asarray(canvas.buffer_rgba()), format="png", pil_kwargs={"compress_level": FASTEST})
        return buffer.getvalue()

    def _fixed(self):
        ax, bar = self.figure.axes
        return [self.figure.patch, ax.patch, bar, ax.xaxis, ax.yaxis, *_titles(ax), *self._legend()]

    def _legend(self):
        """Words and keys of the legend: the words stand at shares of the axes, the keys belong to the figure."""
        ax, fig = self.figure.axes[0], self.figure
        words = [text for text in ax.texts if text.get_transform() == ax.transAxes]
        return [*words, *fig.lines, *fig.patches, *fig.artists]

    def _moving(self):
        """Everything that may change at a move: the map itself, and the stamp."""
        ax, legend = self.figure.axes[0], set(self._legend())
        parts = (*ax.lines, *ax.patches, *ax.collections, *ax.texts, *self.figure.texts, *ax.spines.values())
        return [part for part in parts if part not in legend]

    def _fixed_key(self):
        """What the fixed parts look like."""
        (ax, bar), legend = self.figure.axes, self._legend()
        texts = [*_titles(ax), *(part for part in legend if isinstance(part, Text))]
        words = [(text.get_text(), text.get_position()) for text in texts]
        keys = [type(part).__name__ for part in legend]
        labels = ax.get_xlabel(), ax.get_ylabel(), bar.get_label(), bar.axison
        return words, keys, labels, ax.get_xlim(), ax.get_ylim(), self.figure.dpi


def _titles(ax):
    """Title of an axes: it may stand left, in the middle or right, and the others are empty."""
    return [part for part in ax.get_children() if isinstance(part, Text) and part not in ax.texts]


class _hidden:
    """Within it these artists are not drawn."""

    def __init__(self, artists):
        self.artists = [artist for artist in artists if artist.get_visible()]

    def __enter__(self):
        for artist in self.artists:
            artist.set_visible(False)

    def __exit__(self, *_):
        for artist in self.artists:
            artist.set_visible(True)
