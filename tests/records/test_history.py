"""Who changed what is kept, and the last change can be taken back, whole."""

import pytest

from tickover.records import history
from tickover.records.models import Build, Change, ChangeLine, FastenerSet, Part, Purchase, Store
from tickover.units import BadInput

pytestmark = pytest.mark.django_db


@pytest.fixture
def build() -> Build:
    return Build.objects.create(name="Penhallow Heron 450")


def test_a_build_belongs_to_itself(build: Build) -> None:
    assert Build.objects.get().build_id == build.pk


def test_a_change_is_kept_with_its_fields_before_and_after(build: Build) -> None:
    part = Part.objects.create(build=build, name="Starter")
    with history.writing("Ned", "Starter is worn"):
        part.condition = "worn"
        part.save()
    line = ChangeLine.objects.latest("id")
    assert (line.before, line.after) == ({"condition": "unknown"}, {"condition": "worn"})
    assert (line.change.who, line.change.says) == ("Ned", "Starter is worn")


def test_saving_without_a_change_writes_no_history(build: Build) -> None:
    part = Part.objects.create(build=build, name="Starter")
    kept = Change.objects.count()
    part.save()
    assert Change.objects.count() == kept


def test_one_press_is_one_change_and_goes_back_whole(build: Build) -> None:
    box = Store.objects.create(build=build, name="Box 4")
    parts = [Part.objects.create(build=build, name=name) for name in ("Tap", "Float bowl")]
    with history.writing("Ned", "Both into box 4"):
        for part in parts:
            part.place = box
            part.save()
    history.take_back(history.last_change(build.pk))
    assert not Part.objects.filter(place=box).exists()
    assert Change.objects.latest("id").says == "Taken back: Both into box 4"


def test_a_record_struck_out_comes_back_with_what_fell_with_it(build: Build) -> None:
    part = Part.objects.create(build=build, name="Starter")
    Purchase.objects.create(build=build, what="Brushes", part=part, price="12.50")
    bolts = FastenerSet.objects.create(build=build, name="Starter bolts", holds=part)
    number = part.pk
    part.delete()
    assert FastenerSet.objects.get().holds is None
    history.take_back(history.last_change(build.pk))
    assert Part.objects.get().pk == number
    assert FastenerSet.objects.get(pk=bolts.pk).holds_id == number
    assert str(Purchase.objects.get().price) == "12.50"


def test_a_new_record_taken_back_is_gone(build: Build) -> None:
    Part.objects.create(build=build, name="Starter")
    history.take_back(history.last_change(build.pk))
    assert not Part.objects.exists()


def test_only_the_last_change_can_be_taken_back(build: Build) -> None:
    Part.objects.create(build=build, name="Tap")
    first = history.last_change(build.pk)
    Part.objects.create(build=build, name="Starter")
    with pytest.raises(BadInput, match="New part: Starter"):
        history.take_back(first)


def test_what_was_before_can_be_taken_back_one_after_the_other(build: Build) -> None:
    part = Part.objects.create(build=build, name="Tap")
    for condition in ("worn", "damaged"):
        part.condition = condition
        part.save()
    for condition in ("worn", "unknown"):
        history.take_back(history.last_change(build.pk))
        assert Part.objects.get().condition == condition


def test_nothing_is_saved_when_one_of_many_fails(build: Build) -> None:
    def half_done() -> None:
        with history.writing("Ned", "Half done"):
            Part.objects.create(build=build, name="Tap")
            raise BadInput("The second line is wrong.")

    with pytest.raises(BadInput):
        half_done()
    assert not Part.objects.exists()
    assert not Change.objects.filter(says="Half done").exists()
