"""Rows for tests. Only open rows come from here: signed, accepted and closed ones come from the actions."""

from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from clients.models import Client, Site
from jobs.models import CrewMember, Job
from rooms.models import Corner, Opening, PatternKind, Place, Room, Surface, Tile
from shop.models import Role, Staff

INCH = Decimal("25.4")
PASSWORD = "level-and-plumb-7"


class StaffFactory(DjangoModelFactory):
    class Meta:
        model = Staff
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"person{n}")
    name = factory.Sequence(lambda n: f"Person {n}")
    role = Role.INSTALLER
    email = factory.LazyAttribute(lambda o: f"{o.username}@example.com")
    phone = "555-0100"

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        return model_class.objects.create_user(password=kwargs.pop("password", PASSWORD), **kwargs)


class ClientFactory(DjangoModelFactory):
    class Meta:
        model = Client

    name = factory.Sequence(lambda n: f"Odalys Brandt {n}")
    email = "odalys@example.com"
    phone = "555-0142"


class SiteFactory(DjangoModelFactory):
    class Meta:
        model = Site

    client = factory.SubFactory(ClientFactory)
    street = factory.Sequence(lambda n: f"{n + 1} Quarry Lane")
    city = "Millbrook"
    access_note = "Gate code 4711"


class JobFactory(DjangoModelFactory):
    class Meta:
        model = Job

    site = factory.SubFactory(SiteFactory)
    client = factory.SelfAttribute("site.client")
    title = "Upstairs bath"

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        job = super()._create(model_class, *args, **kwargs)
        job.refresh_from_db(fields=["number", "stage_since"])
        return job


class CrewMemberFactory(DjangoModelFactory):
    class Meta:
        model = CrewMember

    job = factory.SubFactory(JobFactory)
    person = factory.SubFactory(StaffFactory)


class TileFactory(DjangoModelFactory):
    """A 12 x 24 in tile by its measured size, hung upright."""

    class Meta:
        model = Tile

    name = "Gray 12 x 24, rectified"
    width = Decimal("11.8125") * INCH
    height = Decimal("23.625") * INCH
    thickness = Decimal("0.375") * INCH
    edge = "rectified"
    per_box = 8


def rectangle(width: Decimal, height: Decimal) -> list[list[Decimal]]:
    """A rectangle of inches as an outline in mm."""
    return [[x * INCH, y * INCH] for x, y in ((0, 0), (width, 0), (width, height), (0, height))]


class SurfaceFactory(DjangoModelFactory):
    class Meta:
        model = Surface

    key = factory.Sequence(lambda n: f"wall{n}")
    name = factory.LazyAttribute(lambda o: o.key.capitalize())
    wet = True
    outline = factory.LazyFunction(lambda: rectangle(Decimal(36), Decimal(96)))


class RoomFactory(DjangoModelFactory):
    """A three-wall shower, 36 x 60 x 36 in, 96 in high, with a niche in the back wall; walls share one level line."""

    class Meta:
        model = Room
        skip_postgeneration_save = True

    job = factory.SubFactory(JobFactory)
    name = "Shower"
    place = Place.SHOWER
    tile = factory.SubFactory(TileFactory)
    joint = Decimal("0.125") * INCH
    joint_high = Decimal("0.1875") * INCH
    pattern = PatternKind.OFFSET
    share_of = 1
    share_in = 3

    @factory.post_generation
    def walls(self, create, extracted, **kwargs):
        if not create or extracted is False:
            return
        build_up = Decimal("0.5625") * INCH
        wall = rectangle(Decimal(60), Decimal(96))
        back = SurfaceFactory(room=self, key="back", position=0, focal=True, build_up=build_up, outline=wall)
        left = SurfaceFactory(room=self, key="left", position=1, build_up=build_up)
        right = SurfaceFactory(room=self, key="right", position=2, build_up=build_up)
        Opening.objects.create(
            surface=back,
            key="niche",
            kind="niche",
            outline=[[x * INCH, y * INCH] for x, y in ((22, 40), (34, 40), (34, 64), (22, 64))],
        )
        soft = Decimal("0.125") * INCH
        Corner.objects.create(
            room=self, position=0, first=back, first_side="left", second=left, second_side="right", soft=soft
        )
        Corner.objects.create(
            room=self, position=1, first=back, first_side="right", second=right, second_side="left", soft=soft
        )
