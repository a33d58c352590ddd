"""Bend, forming, section, strip and shell: numbers in, numbers out. Numpy and scipy alone."""
