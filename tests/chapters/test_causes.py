"""The table of causes holds together: shares sum to 1, and something tells each cause from a sound engine."""

import pytest

from tickover.chapters.causes import CAUSES, CHAPTERS, OBSERVATIONS, likelihood


@pytest.mark.parametrize("observation", OBSERVATIONS.values(), ids=lambda o: o.id)
def test_the_answers_of_an_observation_sum_to_one(observation) -> None:  # type: ignore[no-untyped-def]
    assert sum(observation.sound.values()) == pytest.approx(1.0)
    if observation.needs:
        assert observation.without is not None
        assert sum(observation.without.values()) == pytest.approx(1.0)
        assert set(observation.without) == set(observation.sound)
    assert observation.why


@pytest.mark.parametrize("cause", CAUSES.values(), ids=lambda c: c.id)
def test_a_cause_shows_in_some_observation(cause) -> None:  # type: ignore[no-untyped-def]
    assert cause.chapter in CHAPTERS
    assert cause.prior > 0.0
    loudest = 1.0
    for name, (answers, why) in cause.outcomes.items():
        assert set(answers) == set(OBSERVATIONS[name].sound)
        assert sum(answers.values()) == pytest.approx(1.0)
        assert why
        loudest = max(loudest, *(answers[a] / OBSERVATIONS[name].sound[a] for a in answers))
    assert loudest > 5.0, f"nothing speaks loudly for {cause.id}"


def test_whatever_opens_the_fuel_warns_of_vapour() -> None:
    for name in (
        "fuel_level",
        "fuel_flow",
        "flow_without_filter",
        "flow_at_tap",
        "trickle_fires",
        "pilot_clear",
    ):
        caution = OBSERVATIONS[name].caution
        assert caution is not None
        assert "vapour" in caution


def test_nothing_fires_without_a_spark() -> None:
    for cause in (None, *CAUSES):
        assert likelihood("trickle_fires", "yes", cause, cranks=True, spark=False) < 0.05
