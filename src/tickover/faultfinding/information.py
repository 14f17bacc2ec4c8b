"""Bayes' rule and expected information, over plain arrays.

Sources: T. Bayes (1763), Phil. Trans. 53, 370; C. E. Shannon (1948), A mathematical theory of communication,
Bell System Technical Journal 27, 379; D. J. C. MacKay (2003), Information Theory, Inference, and Learning
Algorithms, chapters 2 to 4.
"""

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


def posterior(prior: npt.ArrayLike, likelihood: npt.ArrayLike) -> Array:
    """Probabilities after evidence: prior times likelihood, made to sum to 1.

    `prior` and `likelihood` have one value a hypothesis; the prior need not sum to 1. Evidence that no
    hypothesis allows leaves the prior as it was.

    MacKay (2003), section 2.2, exercise 2.3: a disease that one in a hundred has, and a test that is right
    in 95 of 100 cases says yes.

    >>> [round(float(p), 2) for p in posterior([0.01, 0.99], [0.95, 0.05])]
    [0.16, 0.84]
    """
    before = np.asarray(prior, dtype=np.float64)
    after = before * np.asarray(likelihood, dtype=np.float64)
    total = after.sum()
    result: Array = after / total if total > 0.0 else before / before.sum()
    return result


def entropy(probabilities: npt.ArrayLike) -> float:
    """Shannon's entropy in bits; zeros count nothing.

    >>> round(entropy([0.5, 0.25, 0.125, 0.125]), 3)
    1.75
    """
    p = np.asarray(probabilities, dtype=np.float64)
    p = p[p > 0.0]
    return float(max(0.0, -(p * np.log2(p)).sum()))


def expected_information(probabilities: npt.ArrayLike, likelihoods: npt.ArrayLike) -> float:
    """Bits that an answer is expected to give: the mutual information of hypothesis and answer.

    `probabilities` (n,) sums to 1; `likelihoods` (n, k) holds the probability of each of k answers under each
    hypothesis, rows summing to 1. Between zero and the entropy of the probabilities.

    MacKay (2003), section 4.1, the odd ball among twelve, heavy or light (24 hypotheses): weighing six
    against six gives 1 bit.

    >>> heavy_left = [[1.0, 0.0]] * 6 + [[0.0, 1.0]] * 6
    >>> expected_information([1 / 24] * 24, heavy_left + [row[::-1] for row in heavy_left])
    1.0
    """
    p = np.asarray(probabilities, dtype=np.float64)[:, None]
    table = np.asarray(likelihoods, dtype=np.float64)
    joint = p * table
    answers = joint.sum(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        terms = joint * np.log2(table / answers)
    return float(max(0.0, np.where(joint > 0.0, terms, 0.0).sum()))
