"""Who and what is in the demo house. All names are coined; the valley is on no map."""

from dataclasses import dataclass, field

from django.utils.translation import gettext_noop

from assessments.demo_house.faults import FAULTY

HOUSE = "Noodles of the Ilvenna valley"
PASSWORD = "knead-rest-roll-cut"  # noqa: S105  # printed for everybody: the demo holds no real data
OPENS_IN_DAYS = 38


@dataclass(frozen=True, slots=True)
class BranchName:
    """A branch; ``opens_in_days`` is None for one that is open."""

    slug: str
    name: str
    opens_in_days: int | None = None


@dataclass(frozen=True, slots=True)
class Person:
    """One person: sign-in name, full name, where they practise, what they are head chef of."""

    username: str
    first_name: str
    last_name: str
    trains_in: str = ""
    heads: tuple[str, ...] = ()
    house_roles: tuple[str, ...] = field(default=())


BRANCHES = (
    BranchName("ilvenbridge", "Ilvenbridge"),
    BranchName("quarrowmill", "Quarrowmill"),
    BranchName("tessenford", "Tessenford"),
    BranchName("sallowfen", "Sallowfen"),
    BranchName("low-harkle", "Low Harkle", opens_in_days=OPENS_IN_DAYS),
)

STYLES = (
    ("thick-wheat", gettext_noop("thick wheat")),
    ("thin-buckwheat", gettext_noop("thin buckwheat")),
    ("flat-ribbon", gettext_noop("flat ribbon")),
    ("thin-alkaline", gettext_noop("thin alkaline")),
)

PEOPLE = (
    Person("maruk", "Maruk", "Ellivane", house_roles=("owner",)),
    Person("vella", "Vella", "Amarrow", house_roles=("editor",)),
    Person("isbel", "Isbel", "Torrivel", heads=("ilvenbridge",), house_roles=("editor",)),
    Person("davo", "Davo", "Kessander", heads=("quarrowmill",)),
    Person("orlen", "Orlen", "Wendrath", heads=("tessenford", "low-harkle")),
    Person("ressa", "Ressa", "Callounde", heads=("sallowfen",)),
    Person("timmon", "Timmon", "Harrowdel", heads=("sallowfen",)),
    Person("tamsa", "Tamsa", "Brellick", trains_in="ilvenbridge"),
    Person("joric", "Joric", "Olmsvane", trains_in="ilvenbridge"),
    Person("lune", "Lune", "Pardwick", trains_in="ilvenbridge"),
    Person("edda", "Edda", "Moreskin", trains_in="ilvenbridge"),
    Person("bramo", "Bramo", "Ostrevan", trains_in="quarrowmill"),
    Person("cila", "Cila", "Nandrow", trains_in="quarrowmill"),
    Person("wenna", "Wenna", "Tarrishaw", trains_in="quarrowmill"),
    Person("pio", "Pio", "Skellendar", trains_in="tessenford"),
    Person("kefan", "Kefan", "Illanmoor", trains_in="tessenford"),
    Person("yarra", "Yarra", "Dunmellow", trains_in="tessenford"),
    Person("nialle", "Nialle", "Brockharrow", trains_in="low-harkle"),
    *(
        Person(cook.username, cook.first_name, cook.last_name, trains_in="sallowfen")
        for cook in FAULTY
    ),
)

USERNAMES = frozenset(person.username for person in PEOPLE)

INSTRUMENTS = (
    # name, kind, repeatability in mm (None: not a length, or never measured)
    (gettext_noop("bench caliper"), "caliper", "0.03"),
    (gettext_noop("thickness gauge"), "other", "0.03"),
    (gettext_noop("bench ruler"), "ruler", "0.25"),
    (gettext_noop("bench scale"), "scale", None),
)
