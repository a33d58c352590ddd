"""Panels of the notebooks: controls, views, files. No formula and no drawing of their own."""
