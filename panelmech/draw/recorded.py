"""A figure drawn once and written many times: as SVG, PDF and PNG, and on the page of a paper.

To draw a figure, matplotlib works out ticks, places of titles and the layout of every text anew for each file, and that
takes far longer than to write them. So a final figure is drawn once, in points, into a list of what was to be drawn,
and every file and page is written from this list, so that all show the same. On pixels letters are drawn by their
outlines and stand where they stand on paper: they are not fitted to the pixels.
"""

from __future__ import annotations

import numpy as np
from matplotlib.backend_bases import GraphicsContextBase, RendererBase
from matplotlib.backends.backend_pdf import RendererPdf
from matplotlib.figure import Figure
from matplotlib.transforms import Affine2D, TransformedBbox, TransformedPath

from .figures import figure_bytes, style
from .letters import POINTS, drawable, line_box, weight_of
from .lines import renderer_within, write_text


class _Apart(str):
    """Marks the group of an artist that pages leave out."""


class Recording:
    """What is drawn of a final figure.

    figure : the figure, which must be laid out, and not change any more; None where it was recorded by another process
    apart : texts of it that a page has itself, to be left out there
    """

    def __init__(self, figure: Figure, apart: tuple = ()):
        self.figure, self.size, self.steps = figure, tuple(figure.get_size_inches()), _steps_of(figure, apart)

    def __getstate__(self) -> dict:
        """What another process needs of it to write the same."""
        return {**vars(self), "figure": None}

    def file(self, kind: str, alt: str = "") -> bytes:
        """The figure as a file's content. See `figures.figure_bytes`."""
        with style():
            return figure_bytes(_Again(self), kind, alt)

    def replay(self, renderer, shift: tuple = (0.0, 0.0), whole: bool = True, scale: float = 1.0) -> None:
        """Draw it by a renderer that has `scale` units of length to a point, shifted by (x, y) of these; not `whole`:
        without what stands apart."""
        place = _Place(renderer, shift, scale)
        for step, args, more, apart in self.steps:
            if whole or not apart:
                getattr(place, step)(*args, **more)


class _Again(Figure):
    """A figure that draws a recording."""

    def __init__(self, recording):
        super().__init__(figsize=recording.size)
        self.recording = recording

    def draw(self, renderer):
        """As it was drawn."""
        self.recording.replay(renderer, scale=self.dpi / POINTS)


def _steps_of(figure, apart):
    """The steps of drawing a figure, each (name, arguments, keywords, whether it belongs to what stands apart)."""
    dpi, names, engine = figure.dpi, [artist.get_gid() for artist in apart], figure.get_layout_engine()
    recorder = _Recorder(figure.get_size_inches())
    with style():
        try:
            figure.dpi = POINTS
            figure.set_layout_engine(None)  # it is laid out
            for artist in apart:
                artist.set_gid(_Apart())
            figure.draw(recorder)
        finally:
            figure.dpi = dpi
            figure.set_layout_engine(engine)
            for artist, name in zip(apart, names, strict=True):
                artist.set_gid(name)
    return recorder.steps


class _Recorder(RendererBase):
    """Notes what is drawn, in points from the lower left corner; sizes of texts are those of vector files."""

    def __init__(self, size):
        super().__init__()
        self.size, self.steps, self.apart, self.kept = size, [], False, {}

    def flipy(self):
        return False

    def get_canvas_width_height(self):
        return tuple(POINTS * side for side in self.size)

    def get_text_width_height_descent(self, s, prop, ismath):
        bold = weight_of(prop)
        if not ismath and bold is not None:
            return line_box(s, prop.get_size_in_points(), bold)
        return self._text2path.get_text_width_height_descent(s if ismath else drawable(s), prop, ismath)

    def _note(self, step, *args, **more):
        self.steps.append((step, args, more, self.apart))

    def open_group(self, s, gid=None):
        self.apart = self.apart or isinstance(gid, _Apart)
        self._note("open_group", s, None if isinstance(gid, _Apart) else gid)

    def close_group(self, s):
        self._note("close_group", s)
        self.apart = self.apart and s != "text"

    def draw_path(self, gc, path, transform, rgbFace=None):
        self._note("draw_path", self._gc(gc), path, transform.frozen(), rgbFace)

    def draw_markers(self, gc, marker_path, marker_trans, path, trans, rgbFace=None):
        transforms = marker_trans.frozen(), trans.frozen()
        self._note("draw_markers", self._gc(gc), marker_path, transforms[0], path, transforms[1], rgbFace)

    def draw_path_collection(self, gc, master_transform, paths, all_transforms, offsets, offset_trans, *args, **more):
        given = paths, all_transforms, offsets, offset_trans.frozen(), *args
        self._note("draw_path_collection", self._gc(gc), master_transform.frozen(), *given, **more)

    def draw_text(self, gc, x, y, s, prop, angle, ismath=False, mtext=None):
        self._note("draw_text", self._gc(gc), x, y, s if ismath else drawable(s), prop, angle, ismath)

    def draw_image(self, gc, x, y, im, transform=None):
        raise NotImplementedError("a figure with a picture in it cannot be recorded: write it with figure_bytes")

    draw_tex = draw_gouraud_triangles = start_filter = draw_image

    def _gc(self, gc):
        """How to draw, as it is now."""
        kept = GraphicsContextBase()
        kept.copy_properties(gc)
        box, path = gc.get_clip_rectangle(), gc._clippath
        kept.set_clip_rectangle(box and self._once(box, box.frozen))
        kept.set_clip_path(path and self._once(path, lambda: _clip(*path.get_transformed_path_and_affine())))
        return kept

    def _once(self, thing, make):
        """What is made of a thing, the same each time: a PDF cuts anew for each."""
        if id(thing) not in self.kept:
            self.kept[id(thing)] = thing, make()  # the thing too, lest another come by its id
        return self.kept[id(thing)][1]


def _clip(path, transform):
    return TransformedPath(path, transform.frozen())


MANY = 16  # shapes in a row


def _fill_in_pdf(pdf, gc, transform, paths, transforms, offsets, offset_transform, faces, edges, *_):
    """Many shapes without an edge, each in an even colour, as of `draw_path_collection` but at once; whether this
    was done."""
    plain = len(paths) == len(faces) and not len(edges) and not len(transforms) and len(offsets) == 1
    if len(paths) < MANY or not plain or gc.get_hatch() or (np.asarray(faces)[:, 3] != 1.0).any():
        return False
    pdf.check_gc(gc, tuple(faces[0]))
    place = Affine2D(transform.get_matrix()).translate(*offset_transform.transform(offsets)[0])
    pieces = [b"q"]
    for path, face in zip(paths, faces, strict=True):
        (shape,) = pdf.file.pathOperations(path, place, simplify=False)
        pieces += [b"%.6g %.6g %.6g rg" % tuple(face[:3]), shape.pdfRepr(), b"f"]
    pdf.file.write(b"\n".join([*pieces, b"Q\n"]))
    return True


class _Place:
    """A renderer that draws what was recorded, to a scale and shifted."""

    def __init__(self, renderer, shift, scale):
        self.renderer, self.shift, self.scale, self.kept = renderer, tuple(shift), scale, {}
        self.stays, self.sized = self.shift == (0.0, 0.0) and scale == 1.0, Affine2D().scale(scale)
        self.moved = self.sized.frozen().translate(*shift)
        self.height = renderer.get_canvas_width_height()[1] if renderer.flipy() else None
        self.open_group, self.close_group = renderer.open_group, renderer.close_group

    def _to(self, transform):
        return transform if self.stays else transform + self.moved

    def _by(self, transform):
        """Of a shape by itself, which is put in its place apart from this."""
        return transform if self.scale == 1.0 else transform + self.sized

    def _gc(self, given):
        """How to draw, cut at the same place."""
        gc = self.renderer.new_gc()
        gc.copy_properties(given)
        if not self.stays:
            box, path = given.get_clip_rectangle(), given._clippath
            gc.set_clip_rectangle(box and self._once(box, lambda: TransformedBbox(box, self.moved).frozen()))
            gc.set_clip_path(path and self._once(path, lambda: self._clip(*path.get_transformed_path_and_affine())))
        return gc

    def _once(self, thing, make):
        if id(thing) not in self.kept:
            self.kept[id(thing)] = make()
        return self.kept[id(thing)]

    def _clip(self, path, transform):
        return TransformedPath(path, transform + self.moved)

    def draw_path(self, gc, path, transform, face):
        self.renderer.draw_path(self._gc(gc), path, self._to(transform), face)

    def draw_markers(self, gc, marker, size, path, transform, face):
        self.renderer.draw_markers(self._gc(gc), marker, self._by(size), path, self._to(transform), face)

    def draw_path_collection(self, gc, transform, paths, transforms, offsets, offset_transform, *args, **more):
        given = self._by(transform), paths, transforms, offsets, self._to(offset_transform)
        gc, own = self._gc(gc), renderer_within(self.renderer)
        if not (isinstance(own, RendererPdf) and _fill_in_pdf(own, gc, *given, *args)):
            self.renderer.draw_path_collection(gc, *given, *args, **more)

    def draw_text(self, gc, x, y, s, prop, angle, ismath):
        x, y = self.moved.transform((x, y))
        y = y if self.height is None else self.height - y
        if ismath:
            self.renderer.draw_text(self._gc(gc), x, y, s, prop, angle, ismath=ismath)
        else:
            write_text(self.renderer, self._gc(gc), x, y, s, prop, angle)
