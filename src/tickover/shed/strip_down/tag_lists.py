"""The wire tags by what is known of them, and what mends each gap with one tap.

A gap is an end that is missing, colours that differ from end to end, or a wire that nobody knows the use of.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Length

from tickover.records.marks import next_mark
from tickover.records.models import Build, LoomComponent, WireEnd, WireTag
from tickover.units import BadInput

GAPS = {
    "both_ends": "both ends known",
    "one_end": "an end missing",
    "colours": "colours differ",
    "function": "function unknown",
}
"""The lists, in the order in which they stand at the top."""
_NARROWED = {
    "both_ends": Q(known_ends=2),
    "one_end": Q(known_ends__lt=2),
    "colours": Q(differs=True),
    "function": Q(function="", known_ends__lt=2),
}
MOST_OFFERED = 3


def tags_of(build: Build) -> QuerySet[WireTag]:
    """Wire tags in the order of their marks, with how many of their ends are known and whether colours differ."""
    known = Q(ends__component__isnull=False) & ~Q(ends__pin="")
    other = WireEnd.objects.filter(tag=OuterRef("pk")).exclude(colours="").exclude(colours=OuterRef("colours"))
    return (
        build.wiretags.annotate(known_ends=Count("ends", filter=known), differs=Exists(other))
        .prefetch_related("ends__component")
        .order_by(Length("mark"), "mark")
    )


def narrowed(rows: QuerySet[WireTag], gap: str) -> QuerySet[WireTag]:
    return rows.filter(_NARROWED[gap])


def counts(build: Build) -> list[tuple[str, str, int]]:
    """Each list's key, its name, and how many tags stand in it."""
    rows = tags_of(build).order_by()
    found = rows.aggregate(**{gap: Count("pk", filter=only) for gap, only in _NARROWED.items()})
    return [(gap, says, found[gap]) for gap, says in GAPS.items()]


@dataclass(frozen=True)
class Differing:
    """An end whose colours are not those of the wire."""

    tag: WireTag
    end: WireEnd


def differing(tag: WireTag) -> list[Differing]:
    return [Differing(tag, end) for end in tag.ends.all() if end.colours and end.colours != tag.colours]


def with_mends(build: Build, rows: list[WireTag], gap: str) -> list[WireTag]:
    """The rows, each with what mends its gap: ``takes_an_end``, ``same`` (tags that may be that end), ``differing``."""
    lone = _lone(build) if gap == "one_end" else {}
    for tag in rows:
        alike = lone.get(tag.colours, []) if tag.colours and len(tag.ends.all()) == 1 else []
        tag.same = [other for other in alike if other.pk != tag.pk][:MOST_OFFERED]  # type: ignore[attr-defined]
        tag.takes_an_end = len(tag.ends.all()) < 2  # type: ignore[attr-defined]
        tag.differing = differing(tag)  # type: ignore[attr-defined]
    return rows


def _lone(build: Build) -> dict[str, list[WireTag]]:
    """Tags with one end on record, by their colours."""
    lone: dict[str, list[WireTag]] = {}
    for tag in build.wiretags.annotate(there=Count("ends")).filter(there=1).exclude(colours="").order_by("id"):
        lone.setdefault(tag.colours, []).append(tag)
    return lone


def name_function(tag: WireTag, typed: str) -> str:
    """Write down what the wire may be; call this and the others inside ``writing``. They answer what was done."""
    says = typed.strip()
    longest = WireTag._meta.get_field("function").max_length or 0
    if not says:
        raise BadInput(f"Nothing was typed for tag {tag.mark}; say what the wire may be.")
    if len(says) > longest:
        raise BadInput(f"What tag {tag.mark} may be has {len(says)} letters; say it in {longest} or fewer.")
    tag.function = says
    tag.save()
    return f"Tag {tag.mark} may be: {says}."


def one_colour(tag: WireTag, colours: str) -> str:
    """Both ends have these colours after all."""
    known = {tag.colours, *(end.colours for end in tag.ends.all())} - {""}
    if colours not in known:
        raise BadInput(f"{colours or 'No colour'} was seen on neither end of tag {tag.mark}; choose one that was.")
    tag.colours = colours
    tag.save()
    for end in tag.ends.all():
        if end.colours:
            end.colours = ""
            end.save()
    return f"Tag {tag.mark} is {colours} at both ends."


def put_splice_between(tag: WireTag) -> str:
    """The colour changes at a splice: the far half becomes a wire and a tag of its own."""
    changes = differing(tag)
    if len(changes) != 1:
        raise BadInput(f"Tag {tag.mark} does not change its colours from end to end; no splice lies between.")
    far, build = changes[0].end, tag.build
    idents = set(LoomComponent.objects.filter(build=build).values_list("ident", flat=True))
    idents |= set(build.wiretags.values_list("ident", flat=True))
    splice = LoomComponent(
        build=build, ident=next_mark("SP0", idents), kind="splice", name=f"colour change of tag {tag.mark}"
    )
    splice.save()
    half = WireTag(
        build=build,
        mark=next_mark(f"{tag.mark}a"[:20], set(build.wiretags.values_list("mark", flat=True))),
        colours=far.colours,
        area=tag.area,
        function=tag.function,
        condition=tag.condition,
        lash_up=tag.lash_up,
    )
    half.save()
    if tag.length is not None:
        tag.length = None
        tag.save()
    side = WireEnd.Side(far.side)
    near = WireEnd.Side.TO if side == WireEnd.Side.FROM else WireEnd.Side.FROM
    far.tag, far.colours = half, ""
    far.save()
    WireEnd(build=build, tag=half, side=near, component=splice, pin="b").save()
    WireEnd(build=build, tag=tag, side=side, component=splice, pin="a").save()
    return (
        f"Splice {splice.ident} lies between tag {tag.mark} and tag {half.mark}. Give each half its length: "
        "until then it is no wire of the loom."
    )


def same_wire(tag: WireTag, other: WireTag) -> str:
    """Two tags with one end each are the two ends of one wire: the older mark stays."""
    kept, goes = sorted((tag, other), key=lambda one: one.pk)
    ends, moved = list(kept.ends.all()), list(goes.ends.all())
    if kept.pk == goes.pk or len(ends) != 1 or len(moved) != 1:
        raise BadInput(f"Tags {kept.mark} and {goes.mark} do not have one end each; look at both before joining them.")
    (end,) = moved
    end.tag = kept
    end.side = WireEnd.Side.TO if ends[0].side == WireEnd.Side.FROM else WireEnd.Side.FROM
    end.remark = f"marked {goes.mark}" + (f"; {end.remark}" if end.remark else "")
    end.remark = end.remark[: WireEnd._meta.get_field("remark").max_length]
    if not end.colours and goes.colours != kept.colours:
        end.colours = goes.colours
    end.save()
    for balloon in goes.balloons.all():
        balloon.tag = kept
        balloon.save()
    kept.function = kept.function or goes.function
    kept.colours = kept.colours or goes.colours
    kept.area = goes.area if kept.area is None else kept.area
    kept.length = goes.length if kept.length is None else kept.length
    kept.remark = "\n".join(says for says in (kept.remark, goes.remark) if says)
    kept.save()
    WireTag.objects.get(pk=goes.pk).delete()
    return f"Tags {kept.mark} and {goes.mark} are one wire now; it keeps the mark {kept.mark}."
