"""What a demonstration garden lacks and pages show: photos, readings, phones, looks that do not agree.

``fill`` adds it to the garden in a folder; the module itself runs where that garden is the only one.
"""

from __future__ import annotations

import io
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw

from tests.browser.served import PATIENCE_S, ROOT, environment

#: holds the code that lets a phone in; it is good for a day
PAIR_FILE = "pair-code.txt"
#: the certificate of an authority, for the page that hands it out
AUTHORITY_FILE = "garden-authority.pem"


def fill(folder: Path) -> None:
    """Add to the demonstration garden in ``folder``."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.browser.shed", str(folder)],
        env=environment(folder),
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
    )
    assert done.returncode == 0, done.stderr


def _fill(folder: Path) -> None:
    from slipwright.records import services
    from slipwright.records.models import Garden, Member, OneTimeCode
    from slipwright.records.selectors import garden_day
    from slipwright.records.services.people import let_phone_in

    now = datetime.now(UTC)
    garden = Garden.objects.get()
    today = garden_day(garden, now)
    owner = Member.objects.get(garden=garden, role="owner")
    others = [
        services.add_member(garden=garden, by=owner, now=now, **row)
        for row in (
            {"member": "finch", "role": "grower", "shown_as": "Finch"},
            {"member": "plover", "role": "volunteer", "shown_as": "Plover"},
        )
    ]
    who: dict[str, Any] = {"garden": garden, "now": now}
    noon = datetime(today.year, today.month, today.day, 12, tzinfo=UTC)
    _looks_and_photos(who, owner, others, noon)
    _readings(who, owner, noon)
    services.make_token(**who, by=owner, name="Logger on the mist bench")
    first = services.make_pair_code(by=owner, member=others[1], now=now)
    let_phone_in(code=first, now=now, name="Plover's phone")
    code = services.make_pair_code(by=owner, member=others[1], now=now)
    OneTimeCode.objects.filter(purpose="pair").update(ends_at=now + timedelta(days=1))
    (folder / PAIR_FILE).write_text(code, encoding="utf-8")
    _authority(folder, now)
    _learned_and_planned(owner, now)


def _learned_and_planned(owner: Any, now: datetime) -> None:
    from slipwright.handbook import load_handbook
    from slipwright.records.answers.refit import learn
    from slipwright.records.keeping.making import make
    from slipwright.records.models import Garden, SeasonPlan
    from slipwright.records.selectors import garden_day
    from slipwright.records.services.plans import ask_plan, take_plan, use_plan

    garden, handbook = Garden.objects.get(), load_handbook()
    learn(garden, handbook, now=now, full=True)
    ask_plan(garden, on=garden_day(garden, now), now=now, by=owner)
    taken = take_plan()
    assert taken is not None
    assert make(taken.pk, handbook, taken=taken.taken).is_made
    use_plan(SeasonPlan.rows.get(pk=taken.pk), now=now, by=owner)


def _a_pot() -> bytes:
    """Return a picture of a pot with three cuttings in it."""
    image = Image.new("RGB", (800, 600), "#cfd8d2")
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 470, 800, 600), fill="#9a8f80")
    for x, top in ((320, 150), (400, 90), (480, 170)):
        draw.line((x, 330, x, top), fill="#6d5a3a", width=10)
        for y in range(top, 290, 55):
            draw.ellipse((x - 70, y, x - 4, y + 26), fill="#4f7a4a")
            draw.ellipse((x + 4, y + 18, x + 70, y + 44), fill="#5c8a55")
    draw.polygon([(250, 330), (550, 330), (515, 540), (285, 540)], fill="#a8583a")
    draw.rectangle((238, 310, 562, 352), fill="#b86a48")
    page = io.BytesIO()
    image.save(page, "JPEG", quality=85)
    return page.getvalue()


def _looks_and_photos(who: dict[str, Any], owner: Any, others: list[Any], noon: datetime) -> None:
    from slipwright.records import services
    from slipwright.records.canonical import sha256
    from slipwright.records.models import BatchState

    states = BatchState.rows.filter(batch__garden=who["garden"], ended_on=None, withdrawn=False)
    batch = states.filter(n_rooted=0, n_waiting__gt=3).order_by("batch__batch").first().batch
    for n, member in enumerate(others):
        services.record_look(
            **who, by=member, batch=batch.batch, on=noon.date(), n_rooted=n, after=batch.entry_id
        )
    shown = states.filter(n_rooted__gt=2, n_waiting__gt=2).order_by("-n_looks", "batch__batch").first().batch
    services.receive_photo(**who, by=owner, about=shown.batch, at=noon, sent=_a_pot())
    for n in (1, 2):
        content = {
            "kind": "look",
            "v": 1,
            "garden": str(who["garden"].garden),
            "id": "b1f0c0de-0000-4000-8000-000000000001",
            "by": others[1].member,
            "on": noon.date().isoformat(),
            "fields": {"batch": shown.batch, "n_rooted": n},
        }
        services.receive_entry(**who, by=others[1], content=content, sha256=sha256(content))


def _readings(who: dict[str, Any], owner: Any, noon: datetime) -> None:
    from slipwright.records import services
    from slipwright.records.models import Place

    place = Place.rows.of(who["garden"]).order_by("walk_order").first()
    for hour in range(24):
        warmth = Decimal(20 + abs(12 - hour) // 3)
        services.record_reading(
            **who,
            by=owner,
            place=place.place,
            at=noon - timedelta(hours=hour),
            air_c=warmth,
            rh_percent=Decimal(80),
            source="Logger on the mist bench",
        )


def _authority(folder: Path, now: datetime) -> None:
    from slipwright.certificates import Authority, Hosts

    authority = Authority.made(Hosts(("potting-shed.local",), ()), now=now)
    (folder / AUTHORITY_FILE).write_bytes(authority.public_pem)


if __name__ == "__main__":
    import django

    django.setup()
    _fill(Path(sys.argv[1]))
