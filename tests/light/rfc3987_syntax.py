"""In the place of the library of this name, which Jupyter's checks of formats take where it is there: it builds 39
grammars when it is imported, 3 s of one processor in every process, to judge addresses that no notebook has."""

raise ImportError("left out, as where it is not installed")
