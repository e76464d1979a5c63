"""Weighing evidence: how likely each suspect is, and which test would tell most.

Probabilities are plain numbers from 0 to 1. The tables behind them are the trade's and live in the rules;
this is only Bayes' theorem and Shannon's measure of information.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence


def updated(prior: Mapping[str, float], likelihoods: Mapping[str, float]) -> dict[str, float]:
    """Probability of each suspect after one more piece of evidence.

    Parameters
    ----------
    prior : mapping
        Probability of each suspect before it [1]; need not sum to 1.
    likelihoods : mapping
        How probable the evidence is if that suspect is to blame [1].

    Raises
    ------
    ValueError
        When no suspect can explain the evidence.
    """
    weights = {suspect: share * likelihoods[suspect] for suspect, share in prior.items()}
    total = math.fsum(weights.values())
    if total <= 0:
        raise ValueError("no suspect can explain the evidence")
    return {suspect: weight / total for suspect, weight in weights.items()}


def entropy_bit(shares: Mapping[str, float]) -> float:
    """Doubt that remains in a distribution that sums to 1 [bit]."""
    return math.fsum(-share * math.log2(share) for share in shares.values() if share > 0)


def expected_information_bit(shares: Mapping[str, float], outcomes: Sequence[Mapping[str, float]]) -> float:
    """Doubt that a test would remove on average [bit].

    Parameters
    ----------
    shares : mapping
        Probability of each suspect now; sums to 1.
    outcomes : sequence of mapping
        For each result the test can have, its probability under each suspect. Over the results the
        probabilities of one suspect sum to 1.
    """
    remaining = 0.0
    for likelihoods in outcomes:
        weight = math.fsum(shares[suspect] * likelihoods[suspect] for suspect in shares)
        if weight > 0:
            remaining += weight * entropy_bit(updated(shares, likelihoods))
    return max(0.0, entropy_bit(shares) - remaining)
