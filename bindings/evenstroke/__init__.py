"""Two hydraulic cylinders lift one panel: how many bleed strokes until they keep step?"""

from ._core import __version__

__all__ = ["__version__"]
