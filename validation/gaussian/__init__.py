"""One Gaussian model of logarithms: what a model says beforehand, what it misses, and what was measured.

Knows no beams. A quantity at a place has a prior mean and loadings on shared standard normal variables (draws of a
model's inputs are such loadings), a discrepancy that varies smoothly over the places, an effect per group, and scatter.
Standard deviations are integrated over a quadrature grid with half-t priors; all else is linear algebra.

- ``places`` what is known of places and what was read there; ``kernel`` how the discrepancy varies; ``grid`` the
  standard deviations; ``fit`` weighs them; ``predictive`` answers; ``leave_out`` hides places or groups in turn;
  ``next_readings`` what to read next.
- Checked against closed forms: the one-way random effects model, Bayesian linear regression, simple kriging, the
  tolerance bound of the noncentral t distribution; coverage in simulated laboratories (``tests/validation/gaussian``).
- Weak: the prior is taken as normal on the log scale, so one-sided knowledge of a model's input is lost; other
  quantities inform one by their covariance at their own middle standard deviations, not integrated jointly.
"""

from validation.gaussian.fit import Fitted, fit
from validation.gaussian.grid import HalfT, Scales
from validation.gaussian.leave_out import Hidden, hide_in_turn
from validation.gaussian.places import Place, Reading
from validation.gaussian.predictive import Predictive

__all__ = [
    "Fitted",
    "HalfT",
    "Hidden",
    "Place",
    "Predictive",
    "Reading",
    "Scales",
    "fit",
    "hide_in_turn",
]
