"""Cases that others worked out.

D. J. C. MacKay, Information Theory, Inference, and Learning Algorithms, Cambridge University Press 2003:
section 2.2, the test for a disease; section 4.1, the odd ball among twelve.
"""

from math import log2

import numpy as np
import pytest

from tickover.faultfinding.information import entropy, expected_information, posterior


def test_a_positive_test_for_a_rare_disease() -> None:
    """Exercise 2.3: 1 % have it, the test is right in 95 %; after a yes the probability is 16 %."""
    assert posterior([0.01, 0.99], [0.95, 0.05])[0] == pytest.approx(0.0095 / (0.0095 + 0.0495))
    assert round(float(posterior([0.01, 0.99], [0.95, 0.05])[0]), 2) == 0.16


def _weighing(left: set[int], right: set[int]) -> list[list[float]]:
    """Answers (left down, right down, level) for each of 24 hypotheses: ball 0-11 heavy, ball 0-11 light."""
    rows = []
    for heavy in (True, False):
        for ball in range(12):
            if ball not in left | right:
                rows.append([0.0, 0.0, 1.0])
            else:
                rows.append([1.0, 0.0, 0.0] if (ball in left) == heavy else [0.0, 1.0, 0.0])
    return rows


@pytest.mark.parametrize(
    ("each_side", "bits"),
    [
        (6, 1.0),
        (5, 2 * 10 / 24 * log2(24 / 10) + 4 / 24 * log2(24 / 4)),
        (4, log2(3)),
        (1, 2 * 2 / 24 * log2(12) + 20 / 24 * log2(24 / 20)),
    ],
)
def test_the_odd_ball_among_twelve(each_side: int, bits: float) -> None:
    """Exercise 4.1: four against four is the most informative first weighing, log2(3) = 1.58 bits."""
    table = _weighing(set(range(each_side)), set(range(each_side, 2 * each_side)))
    uniform = np.full(24, 1 / 24)
    assert expected_information(uniform, table) == pytest.approx(bits, abs=1e-12)
    assert entropy(uniform) == pytest.approx(log2(24))


def test_entropy_of_a_bent_coin() -> None:
    """Section 2.4: H(0.1) is 0.469 bits."""
    assert round(entropy([0.1, 0.9]), 3) == 0.469


def test_a_noisy_answer_carries_the_capacity_of_its_channel() -> None:
    """Section 9.6: a binary symmetric channel that errs in 15 % carries 1 - H2(0.15) = 0.39 bits."""
    bits = expected_information([0.5, 0.5], [[0.85, 0.15], [0.15, 0.85]])
    assert round(bits, 2) == 0.39
    assert bits == pytest.approx(1.0 - entropy([0.15, 0.85]))
