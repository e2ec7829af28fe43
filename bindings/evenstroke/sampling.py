"""How the members of an ensemble are drawn and counted."""

from ._core import members_from_bands, quantile, sobol_points

__all__ = ["members_from_bands", "quantile", "sobol_points"]
