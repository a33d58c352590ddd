"""What others published, and what the package gives for the same case, with difference, tolerance and its reason.

May use: numpy, scipy and the rooms below. Verbs: the published cases of a subject, the cross-checks, the comparison,
the sources, the pictures. The notebook of published cases shows them; the tests in `tests/validation` go through the
same rows, so that no published value is typed twice.

Why it is so
- A case holds the function that gives our value and works it out when it is compared: no stored answer.
- How a value was got stands with it: read, read as quoted elsewhere, from memory, computed from its formula. A value
  from memory fixes nothing alone: the tests beside it have it recomputed.
- A tolerance is the source's rounding or the method's error, and says which.
- Second roads of our own stand apart and are never called published: they prove that two roads agree, no more.
- Roads that need a library of the tests alone (finite elements, 30 digits) stay in the tests.
"""

from .._door import thin_door

_VERBS = {  # module: what is fetched from it when first named
    "tables": "SUBJECTS cited compare own_cases published_cases",
    "pictures": "buckling_pictures curve_pictures heat_pictures lift_pictures plate_pictures",
}

__getattr__, __dir__, __all__ = thin_door(__name__, _VERBS)
