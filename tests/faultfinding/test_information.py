"""Laws that Bayes' rule and expected information keep, whatever the figures."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tickover.faultfinding.information import entropy, expected_information, posterior

SHARES = st.floats(1e-6, 1.0)


@st.composite
def tables(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray]:
    """Probabilities (n,) and likelihoods (n, k), rows summing to 1."""
    n, k = draw(st.integers(1, 8)), draw(st.integers(1, 5))
    p = np.array(draw(st.lists(SHARES, min_size=n, max_size=n)))
    rows = np.array(draw(st.lists(st.lists(SHARES, min_size=k, max_size=k), min_size=n, max_size=n)))
    return p / p.sum(), rows / rows.sum(axis=1, keepdims=True)


@given(tables())
def test_information_lies_between_nothing_and_what_is_unknown(table: tuple[np.ndarray, np.ndarray]) -> None:
    p, likelihoods = table
    bits = expected_information(p, likelihoods)
    assert 0.0 <= bits <= entropy(p) + 1e-9
    assert bits <= np.log2(likelihoods.shape[1]) + 1e-9


@given(tables())
def test_expected_information_is_the_expected_loss_of_entropy(table: tuple[np.ndarray, np.ndarray]) -> None:
    """The same figure by its other definition, entropy before less expected entropy after."""
    p, likelihoods = table
    answers = p @ likelihoods
    after = sum(answers[k] * entropy(posterior(p, likelihoods[:, k])) for k in range(len(answers)))
    assert abs(expected_information(p, likelihoods) - (entropy(p) - after)) < 1e-9


@given(tables())
def test_an_answer_that_says_the_same_under_all_tells_nothing(table: tuple[np.ndarray, np.ndarray]) -> None:
    p, likelihoods = table
    alike = np.tile(likelihoods[:1], (len(p), 1))
    assert expected_information(p, alike) < 1e-9
    assert np.allclose(posterior(p, alike[:, 0]), p)


@given(tables())
def test_the_order_of_evidence_does_not_matter(table: tuple[np.ndarray, np.ndarray]) -> None:
    p, likelihoods = table
    forward, backward = p, p
    columns = list(range(likelihoods.shape[1]))
    for k in columns:
        forward = posterior(forward, likelihoods[:, k])
    for k in reversed(columns):
        backward = posterior(backward, likelihoods[:, k])
    assert np.allclose(forward, backward)
    assert abs(forward.sum() - 1.0) < 1e-12


def test_evidence_that_nothing_allows_leaves_the_prior() -> None:
    assert np.allclose(posterior([1.0, 3.0], [0.0, 0.0]), [0.25, 0.75])
