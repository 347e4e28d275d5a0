"""Mixtures of normal distributions: what is left of a model once its spread is averaged over."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

Floats = npt.NDArray[np.float64]
_HALVINGS = 44
_REACH = 12.0
_NEGLIGIBLE = 1e-13


@dataclass(frozen=True, slots=True, eq=False)
class NormalMixture:
    """One mixture of normals for each case, all with the same weights.

    Attributes:
        weights: One for each node, adding up to 1; shape (nodes,).
        means: Shape (nodes, cases).
        sds: At least 0; shape (nodes, cases).
    """

    weights: Floats
    means: Floats
    sds: Floats

    def cdf(self, values: npt.ArrayLike) -> Floats:
        """The chance that each case lies at or below its value; shape (cases,)."""
        with np.errstate(divide="ignore", invalid="ignore"):
            z = (np.asarray(values, dtype=float) - self.means) / self.sds
        z = np.where(np.isnan(z), 0.0, z)  # a value exactly at a point mass
        return np.asarray(self.weights @ ndtr(z), dtype=float)

    def quantile(self, share: float) -> Floats:
        """The value that each case stays below with chance ``share``, by bisection.

        Raises:
            ValueError: ``share`` is not between 0 and 1.
        """
        if not 0 < share < 1:
            raise ValueError(f"share is {share}: it must lie between 0 and 1")
        kept = self.weights > _NEGLIGIBLE
        some = NormalMixture(self.weights[kept], self.means[kept], self.sds[kept])
        low = (some.means - _REACH * some.sds).min(axis=0)
        high = (some.means + _REACH * some.sds).max(axis=0)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            is_below = some.cdf(middle) < share
            low, high = np.where(is_below, middle, low), np.where(is_below, high, middle)
        return np.asarray((low + high) / 2, dtype=float)

    def exponential_moments(self, extra: Floats) -> tuple[Floats, Floats]:
        """Mean and sd of ``exp(x + extra)`` of each case, ``extra`` one for each node.

        Source: moments of the log-normal distribution (textbook).
        """
        first = np.exp(self.means + self.sds**2 / 2 + extra[:, None])
        second = np.exp(2 * self.means + 2 * self.sds**2 + 2 * extra[:, None])
        mean = self.weights @ first
        variance = self.weights @ second - mean**2
        return np.asarray(mean, dtype=float), np.sqrt(np.maximum(variance, 0.0))
