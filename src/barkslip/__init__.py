"""barkslip: a garden book that computes, for growers who graft fruit trees."""

__version__ = "0.1.0"
