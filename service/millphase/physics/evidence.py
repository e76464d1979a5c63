"""Weighing evidence: how likely each suspect is, and which test would tell most.

Probabilities are plain numbers from 0 to 1. The tables behind them are the trade's and live in the rules;
this is only Bayes' theorem and Shannon's measure of information.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from millphase.physics.law import law


@law("e = q × max(t − h, 0) + (1 − q) × i", q="steadiness", t="least_tripped", h="most_held", i="independent")
def pattern_likelihood(steadiness: float, least_tripped: float, most_held: float, independent: float) -> float:
    """Probability of a whole pattern of trips and holds under one suspect [1].

    A steady fault has one strength: it trips at every step whose probability is above some value and holds at
    every other, so a pattern has the probability of that value lying between the two sets. A fault that comes
    and goes trips at each step independently. `steadiness` weighs the two.

    Parameters
    ----------
    steadiness : float
        Weight of the steady fault, 0 to 1 [1].
    least_tripped : float
        Least trip probability among the steps at which it tripped, 1 where there is none [1].
    most_held : float
        Greatest trip probability among the steps at which it held, 0 where there is none [1].
    independent : float
        Product of the probabilities of every single result [1].
    """
    return steadiness * max(least_tripped - most_held, 0.0) + (1 - steadiness) * independent


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


def yes_no_information_bit(**numbers: float) -> float:
    """Doubt that a test with two results would remove on average [bit].

    Parameters
    ----------
    **numbers : float
        ``p1``, ``p2``, … the probability of each suspect now, and ``t1``, ``t2``, … how likely the test says yes
        under that suspect; all from 0 to 1.
    """
    names = [name[1:] for name in numbers if name.startswith("p")]
    shares = {name: numbers[f"p{name}"] for name in names}
    says_yes = {name: numbers[f"t{name}"] for name in names}
    says_no = {name: 1 - share for name, share in says_yes.items()}
    return expected_information_bit(shares, [says_yes, says_no])
