"""What the papers beside the notices are made of: the rooms with what stands in them, palettes, sheets, lists."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from django.db.models import Q, Sum
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from inventory import restrictions
from inventory.models import Group, Item, ItemKind, Palette, Room, Tube
from safety.models import HouseRule, PaperKind, RoomFacts, RuleKind, RulesVersion, WasteContainer
from safety.queries.allowed import MayUse, SameReasons, may_use_each
from safety.queries.facts import current_sheets, facts_of, house_of, house_with, in_full, in_stock, items
from safety.queries.notices import said_now
from safety.queries.reference import phrasebook
from safety.rules.facts import Facts
from safety.rules.notice import House, NoticeContent
from safety.rules.papers import allowed_list as allowed_rules
from safety.rules.papers import cards, lists, rooms
from safety.rules.papers import class_page as class_rules
from safety.rules.papers.cards import FieldRule
from safety.rules.papers.class_page import Barred
from safety.rules.papers.paper import Paper
from safety.rules.papers.rooms import RoomWords
from safety.rules.papers.things import Thing, at_most
from safety.rules.statements import Phrasebook
from studio.models import Studio

# The first words of the subject of a house rule about a field.
JAR_LABEL = "jar label"
WASTE_TAG = "waste tag"
OF_ROOMS = (PaperKind.POSTER, PaperKind.DOOR)


class Subject(NamedTuple):
    """What a paper is about: its kind and the key of its item, room, palette or group; of a class page whose and where.

    A class page without a group is for everybody, one without a room tells every room.
    """

    kind: str
    pk: int
    group: int | None = None
    room: int | None = None


@dataclass(frozen=True)
class Known:
    """What is known of some items, read once for all the papers that name them."""

    studio: Studio
    items: Mapping[int, Item]
    facts: Mapping[int, Facts]
    book: Phrasebook

    def things(self, amounts: Mapping[int, str], house: House) -> list[Thing]:
        """The named items that are known, in the order given, as a paper takes them."""
        found = []
        for pk, amount in amounts.items():
            if pk in self.facts:
                found.append(Thing(self.says(pk, house), self.facts[pk], amount))
        return found

    def says(self, pk: int, house: House) -> NoticeContent:
        return said_now(self.facts[pk], self.studio, house, self.book)


@dataclass(frozen=True)
class Written:
    """What the house wrote down of its rooms, and its own words, read once for all the papers."""

    studio: Studio
    there: Mapping[int, RoomFacts]
    words: Sequence[HouseRule]

    def house(self, room: int | None) -> House:
        """The studio as a paper in this room names it; without one as everywhere."""
        ours = (one for one in self.words if one.room_id in (None, room))
        return house_with(self.studio, self.there.get(room or 0), ours)

    def of_room(self, room: Room) -> RoomWords:
        return room_words(room, self.there.get(room.pk))


def written_of(studio: Studio) -> Written:
    """Two queries."""
    there = {one.room_id: one for one in RoomFacts.objects.filter(room__studio=studio)}
    return Written(studio, there, list(HouseRule.objects.of(studio).standing().filter(kind=RuleKind.WORDING)))


def known_of(studio: Studio, wanted: Iterable[int]) -> Known:
    """What is known of these items; eight queries at most for any number of them."""
    return _known(studio, list(items(studio).filter(pk__in=list(wanted))))


def _known(studio: Studio, found: Sequence[Item]) -> Known:
    return Known(studio, {item.pk: item for item in found}, facts_of(found), phrasebook())


def inside(studio: Studio) -> dict[int, dict[int, str]]:
    """What stands in each room by the places of its containers, with how much at most; one query."""
    held = Tube.objects.of(studio).in_use().exclude(place__room=None)
    rows = held.order_by("item__sort_name", "item_id", "unit").values_list("place__room", "item", "unit")
    found: dict[int, dict[int, str]] = {}
    for room, item, unit, total in rows.annotate(total=Sum("nominal_milli")):
        there = found.setdefault(room, {})
        amount = at_most(total, unit)
        there[item] = f"{there[item]} and {amount}" if item in there else amount
    return found


def without_a_room(studio: Studio) -> int:
    """How many containers stand where no room is said: no door sheet tells of them."""
    return Tube.objects.of(studio).in_use().filter(place__room=None).count()


def room_words(room: Room, there: RoomFacts | None) -> RoomWords:
    if there is None:
        return RoomWords(room.name)
    names = (
        "keeper", "call", "rags", "waste", "eyewash", "extinguisher", "spill_kit", "extraction", "first_aid", "way_out",
    )  # fmt: skip
    said = {name: " ".join(getattr(there, name).split()) for name in names}
    return RoomWords(room.name, **said, set_on=timezone.localdate(there.set_at))


def papers_now(studio: Studio, wanted: Iterable[Subject], page_url: str = "") -> dict[Subject, Paper]:
    """What these papers would say if they were made now; the number of queries grows with the groups alone."""
    subjects = list(dict.fromkeys(wanted))
    if not subjects:
        return {}
    written = written_of(studio)
    return {
        **_of_rooms(written, [one for one in subjects if one.kind in OF_ROOMS], page_url),
        **_of_palettes(written, [one for one in subjects if one.kind == PaperKind.CLASS], page_url),
        **_of_groups(studio, [one for one in subjects if one.kind == PaperKind.GROUP], page_url),
    }


def _of_rooms(written: Written, wanted: Sequence[Subject], page_url: str) -> dict[Subject, Paper]:
    """Posters and door sheets."""
    studio = written.studio
    named = Room.objects.filter(studio=studio, pk__in={one.pk for one in wanted}).in_bulk() if wanted else {}
    if not named:
        return {}
    held = inside(studio)
    known = known_of(studio, {item for pk in named for item in held.get(pk, ())})
    today, found = timezone.localdate(), {}
    for subject in wanted:
        pk = subject.pk
        if pk not in named:
            continue
        house = written.house(pk)
        things = known.things(held.get(pk, {}), house)
        said = written.of_room(named[pk])
        if subject.kind == PaperKind.POSTER:
            found[subject] = rooms.room_poster(said, things, house=house, made_on=today, page_url=page_url)
        else:
            found[subject] = rooms.door_sheet(
                said, things, house=house, made_on=today, page_url=page_url, phrasebook=known.book
            )
    return found


def _of_palettes(written: Written, wanted: Sequence[Subject], page_url: str) -> dict[Subject, Paper]:
    """Class pages of palettes, each in the room that was asked for. Without one every room in use is told."""
    studio = written.studio
    palettes = Palette.objects.filter(studio=studio, pk__in={one.pk for one in wanted})
    named = palettes.prefetch_related("paints").in_bulk() if wanted else {}
    if not named:
        return {}
    set_out = {pk: [line.item_id for line in one.paints.all() if line.item_id] for pk, one in named.items()}
    known = known_of(studio, {item for ones in set_out.values() for item in ones})
    groups = Group.objects.filter(studio=studio).in_bulk({one.group for one in wanted if one.group})
    rooms_asked = {one.room for one in wanted}
    rooms_told = Room.objects.filter(studio=studio).filter(Q(removed_at=None) | Q(pk__in=rooms_asked - {None}))
    barred: dict[int | None, Mapping[int, tuple[restrictions.Restriction, ...]]] = {}
    found = {}
    for subject in wanted:
        _, pk, group_pk, room_pk = subject
        if pk not in named:
            continue
        group = groups.get(group_pk) if group_pk else None
        if group_pk not in barred:
            barred[group_pk] = restrictions.of_items(studio, group, list(known.items.values()))
        house = written.house(room_pk)
        told = [one for one in rooms_told if (one.pk == room_pk if room_pk else one.removed_at is None)]
        where = [written.of_room(one) for one in told]
        found[subject] = _class_page(
            known, set_out[pk], barred[group_pk], group, named[pk].name, house, where, page_url
        )
    return found


def _of_groups(studio: Studio, wanted: Sequence[Subject], page_url: str) -> dict[Subject, Paper]:
    """Class lists: what each group may use, what not, and why."""
    groups = Group.objects.filter(studio=studio).in_bulk([one.pk for one in wanted]) if wanted else {}
    answers = may_use_each(studio, list(groups.values())) if groups else {}
    if not answers:
        return {}
    known = _known(studio, [line.item for line in next(iter(answers.values())).lines])
    things = known.things(dict.fromkeys(known.items, ""), House(studio.name, ()))
    sources = dict(zip(known.items, (one.source for one in things), strict=True))
    return {
        subject: _allowed_list(answers[subject.pk], sources, page_url) for subject in wanted if subject.pk in answers
    }


def _class_page(
    known: Known,
    wanted: Sequence[int],
    barred: Mapping[int, tuple[restrictions.Restriction, ...]],
    group: Group | None,
    title: str,
    house: House,
    where: Sequence[RoomWords],
    page_url: str,
) -> Paper:
    caught = [
        Barred(known.items[pk].name, one.rule, _why(one), one.source, one.forbids)
        for pk in dict.fromkeys(wanted)
        for one in barred.get(pk, ())
        if pk in known.items
    ]
    return class_rules.class_page(
        title,
        known.things(dict.fromkeys(wanted, ""), house),
        group=group.name if group else "",
        barred=caught,
        house=house,
        made_on=timezone.localdate(),
        rooms=where,
        page_url=page_url,
    )


def class_page(
    studio: Studio,
    wanted: Iterable[Item],
    group: Group | None,
    title: str,
    *,
    room: Room | None = None,
    page_url: str = "",
) -> Paper:
    """One page for what is set out for a class, in a room; without one every room in use is told."""
    pks = [item.pk for item in wanted]
    known = known_of(studio, pks)
    barred = restrictions.of_items(studio, group, list(known.items.values()))
    told = [room] if room else Room.objects.filter(studio=studio, removed_at=None)
    written = written_of(studio)
    where = [written.of_room(one) for one in told]
    house = written.house(room.pk if room else None)
    return _class_page(known, pks, barred, group, title, house, where, page_url)


def subject_url(studio: Studio, kind: str, pk: int) -> str:
    """The page that a paper is about, without the host: its room or palette, or what hangs where."""
    name = {PaperKind.CLASS: "inventory:palette", PaperKind.GROUP: "safety:may_use"}.get(PaperKind(kind), "safety:room")
    try:
        return reverse(name, args=[studio.slug, pk])
    except NoReverseMatch:
        return reverse("safety:postings", args=[studio.slug])


def sheet_index(studio: Studio, page_url: str = "") -> Paper:
    """Everything in stock with its maker's sheet, or without one."""
    found = list(in_stock(studio).prefetch_related(None))
    sheets = current_sheets(found)
    rows = []
    for item in found:
        sheet = sheets.get(item.pk)
        written = f", for {sheet.jurisdiction}" if sheet and sheet.jurisdiction else ""
        said = f"{sheet.product}, {sheet.revision}{written}" if sheet else ""
        rows.append((in_full(item), said, f"read {sheet.read_on.isoformat()} by {sheet.by}" if sheet else ""))
    return lists.sheet_index(rows, house=house_of(studio), made_on=timezone.localdate(), page_url=page_url)


def _allowed_list(answer: MayUse, sources: Mapping[int, str], page_url: str) -> Paper:
    judged: dict[str, dict[str, None]] = {}
    for line in answer.lines:
        # Two tubes of one name and binder may have two sheets.
        judged.setdefault(in_full(line.item), {})[sources[line.item.pk]] = None
    return allowed_rules.allowed_list(
        answer.group.name,
        children=answer.group.children,
        no_rule=[in_full(line.item) for line in answer.no_rule],
        warned=_same(answer.with_warning_by_reason),
        not_known=_same(answer.not_known_by_reason),
        not_for=_same(answer.not_for_by_reason),
        judged_by={name: " and ".join(found) for name, found in judged.items()},
        house=House(answer.group.studio.name, ()),
        made_on=timezone.localdate(),
        page_url=page_url,
    )


def _same(found: Iterable[SameReasons]) -> list[allowed_rules.Same]:
    return [
        allowed_rules.Same(
            tuple(in_full(line.item) for line in same.lines),
            tuple(allowed_rules.Reason(one.rule, _why(one), one.source) for one in same.restrictions),
        )
        for same in found
    ]


def _why(one: restrictions.Restriction) -> str:
    return f"{one.why}, so nobody can tell" if one.unknown and not one.forbids else one.why


def sign_off_list(version: RulesVersion, page_url: str = "", *, with_names: bool = True) -> Paper:
    signed = version.sign_offs.filter(withdrawn_at=None).order_by("signed_on", "name").values_list("name", "signed_on")
    return lists.sign_off_list(
        str(version),
        version.text,
        list(signed) if with_names else [],
        house=House(version.studio.name, ()),
        made_on=timezone.localdate(),
        page_url=page_url,
    )


def field_rules(studio: Studio, of: str, room: Room | None = None) -> list[FieldRule]:
    """What the house decided on the fields of a label or tag, what it demands first; one query."""
    rows = HouseRule.objects.of(studio).standing().filter(kind=RuleKind.FIELD, subject__istartswith=f"{of}:")
    rows = rows.filter(Q(room=None) | Q(room=room)) if room else rows.filter(room=None)
    found = [
        FieldRule(
            " ".join(one.subject.partition(":")[2].split()).casefold(),
            bool(one.demanded),
            f"{one.on_whose_word}, {one.set_on.isoformat()}",
            one.text,
        )
        for one in rows.order_by("pk")
        if one.demanded is not None
    ]
    return sorted(found, key=lambda one: not one.demanded)


def jar_label(
    studio: Studio, item: Item | None, title: str, *, known: Mapping[str, str] | None = None, page_url: str = ""
) -> Paper:
    """A label for what was poured from an item, or for a jar that nobody can name."""
    house = house_of(studio)
    thing = next(iter(known_of(studio, [item.pk]).things({item.pk: ""}, house)), None) if item else None
    return cards.jar_label(
        title,
        thing,
        field_rules(studio, JAR_LABEL),
        house=house,
        made_on=timezone.localdate(),
        known=known,
        page_url=page_url,
    )


def waste_tag(container: WasteContainer, page_url: str = "") -> Paper:
    studio, room = container.studio, container.room
    there = RoomFacts.objects.filter(room=room).first() if room else None
    size = container.size_milli
    values = {
        "contents": container.contents,
        "hazards": container.hazards,
        "start date": container.opened_on.isoformat(),
        "full date": container.full_on.isoformat() if container.full_on else "",
        "size": f"{size / 1000:g} ml" if size else "",
        "room": room.name if room else "",
        "keeper": there.keeper if there else "",
        "telephone": there.call if there else "",
        "collection number": container.manifest,
    }
    house = house_of(studio)
    ticked = container.went_in.order_by("sort_name", "pk").values_list("pk", flat=True)
    kept = Item.objects.of(studio).order_by("sort_name", "pk")
    named = list(dict.fromkeys([*ticked, *_named_in(container.contents, kept)]))
    return cards.waste_tag(
        container.number,
        values,
        field_rules(studio, WASTE_TAG, room),
        known_of(studio, named).things(dict.fromkeys(named, ""), house),
        hazards_from=f"as {container.opened_by} wrote them down, {container.opened_on.isoformat()}",
        house=house,
        made_on=timezone.localdate(),
        page_url=page_url,
    )


def _named_in(words: str, found: Iterable[Item]) -> list[int]:
    """Those whose names stand in the words; a name of one word only of a material, as "white" names many things."""
    folded = words.casefold()
    return [
        one.pk
        for one in found
        if (" " in one.name or one.kind == ItemKind.MATERIAL)
        and re.search(rf"\b{re.escape(one.name.casefold())}\b", folded)
    ]
