"""The pages that are looked at by machine and by eye: name, address, and who looks."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from urllib.parse import quote

from playwright.sync_api import BrowserContext, Response
from playwright.sync_api import Page as BrowserPage

from tests.browser.served import Served
from tests.browser.shed import PAIR_FILE


@dataclass(frozen=True)
class Page:
    """A page of the demonstration garden; ``{batch}`` and the like are filled in from it.

    ``press`` is what is pressed on it to come to a page that no address leads to.
    """

    name: str
    address: str
    signed_in: bool = True
    on_phone: bool = False
    press: str = ""
    status: int = 200


PAGES = (
    Page("today", "/", on_phone=True),
    Page("look", "/batches/{batch}/look", on_phone=True),
    Page("pot-up", "/batches/{to_pot}/pot-up", on_phone=True),
    Page("pot-up-wait", "/batches/{to_wait}/pot-up", on_phone=True),
    Page("stick", "/stick?plant={plant}", on_phone=True),
    Page("stick-choose", "/stick", on_phone=True),
    Page("stick-refused", "/stick?plant={protected}", on_phone=True),
    Page("stuck", "/stick/done?b={batch}", on_phone=True),
    Page("batches", "/batches", on_phone=True),
    Page("batch", "/batches/{batch}", on_phone=True),
    Page("batch-ended", "/batches/{ended}"),
    Page("growing-on", "/growing-on"),
    Page("outcome", "/batches/{potted}/outcome"),
    Page("give-away-card", "/batches/{potted}/card"),
    Page("plants", "/plants"),
    Page("plant", "/plants/{plant}"),
    Page("plant-protected", "/plants/{protected}"),
    Page("wants", "/wants"),
    Page("places", "/rows/places"),
    Page("place", "/rows/places/row?key={place}"),
    Page("methods", "/rows/methods"),
    Page("method", "/rows/methods/row?key={method}"),
    Page("new-plant", "/rows/plants/new"),
    Page("labels", "/labels"),
    Page("search", "/search?q=rosa"),
    Page("garden", "/garden"),
    Page("members", "/rows/members"),
    Page("people", "/people"),
    Page("people-phone", "/people", press="form[action$='/phone'] button"),
    Page("pair", "/pair/{pair}", signed_in=False, on_phone=True),
    Page("sure", "/sure?next=/garden"),
    Page("who-did-what", "/who-did-what"),
    Page("keeping", "/garden/keeping"),
    Page("set-asides", "/set-aside"),
    Page("set-aside", "/set-aside/{aside}"),
    Page("two-looks", "/batches/{two_looks}/two-looks"),
    Page("outbox", "/outbox", on_phone=True),
    Page("readings", "/readings"),
    Page("weather", "/weather"),
    Page("mist", "/mist", on_phone=True),
    Page("findings", "/findings"),
    Page("finding-rule", "/findings/rule?plant=Rosa&rule=Take+the+middle&evidence=48+batches"),
    Page("learned", "/learned"),
    Page("learned-plant", "/learned/plant?taxon=Lavandula+angustifolia+'Grey+Heron'&wood=semi-hardwood"),
    Page("trials", "/trials"),
    Page("trial-choose", "/trials/new"),
    Page("trial-new", "/trials/new?plant=Curlew+bank&differs=auxin"),
    Page("trial-counted", "/trials/{trial_done}"),
    Page("trial-running", "/trials/{trial_runs}", on_phone=True),
    Page("trial-count", "/trials/{trial_runs}/count", on_phone=True),
    Page("instruments", "/garden/instruments"),
    Page("photo-take-back", "/photos/{photo}/take-back"),
    Page("take-back", "/batches/{batch}/withdraw?kind=look&entry={look}", on_phone=True),
    Page("not-there", "/batches/NONE-SUCH", status=404),
    Page("trust", "/trust", signed_in=False, on_phone=True),
    Page("one-pot", "/one-pot", signed_in=False),
    Page(
        "one-pot-answer",
        "/one-pot?plant=climbing+rose&on=2015-10-20&at=41,-72&want=5&have=tent&shoot=spent",
        signed_in=False,
    ),
    Page("season", "/season", on_phone=True),
    Page("papers", "/papers"),
    Page("season-report", "/papers/season-report?season=2014"),
    Page("sums", "/sums", signed_in=False),
    Page("sum", "/sums/dip", signed_in=False),
    Page("sum-answer", "/sums/mix?pots=24&pot=2.8&perlite=1&vermiculite=1", signed_in=False, on_phone=True),
    Page(
        "sum-asks-again",
        "/sums/dip?stock=100000&want=30000&volume=50&plant=rose",
        signed_in=False,
        status=422,
    ),
    Page("sign-in", "/sign-in", signed_in=False),
)


def filled(address: str, served: Served) -> str:
    """Return an address with the batches and plants of the garden that is served."""
    for name, value in _named(served.folder).items():
        address = address.replace("{" + name + "}", quote(value))
    return address


@cache
def _named(folder: Path) -> dict[str, str]:
    """Return a batch and a plant of each kind the pages are about."""
    with sqlite3.connect(f"file:{folder / 'garden.sqlite3'}?mode=ro", uri=True) as garden:
        found = {name: garden.execute(query).fetchone() for name, query in _ONE_OF.items()}
    pair = folder / PAIR_FILE
    code = {"pair": pair.read_text(encoding="utf-8")} if pair.exists() else {}
    return {name: str(row[0]) for name, row in found.items() if row is not None} | code


_BATCH = (
    "select s.batch from records_batchstate t join records_sticking s on s.id = t.batch_id "
    "left join records_taxon x on x.id = s.taxon_id where not t.withdrawn and "
)
_ONE_OF = {
    "batch": _BATCH
    + "t.ended_on is null and t.n_rooted > 2 and t.n_waiting > 2 order by t.n_looks desc, s.batch",
    "to_pot": _BATCH
    + "t.ended_on is null and t.n_to_pot > 2 and x.taxon not like 'Hydrangea%' order by s.batch",
    "to_wait": _BATCH + "t.ended_on is null and x.taxon like 'Punica%' order by t.n_rooted desc, s.batch",
    "ended": _BATCH + "t.ended_on is not null and t.n_potted > 0 order by s.batch",
    "potted": _BATCH + "t.n_potted > 3 and x.rights = 'none' order by s.stuck_on desc, s.batch",
    "plant": "select p.plant from records_plant p join records_taxon x on x.id = p.taxon_id "
    "where x.rights = 'none' and x.taxon like 'Rosa%' order by p.plant",
    # the one with most shoots left of the share that may go
    "rested": "select p.plant from records_plant p join records_taxon x on x.id = p.taxon_id "
    "join records_sticking s on s.plant_id = p.id where x.rights = 'none' group by p.plant "
    "order by p.shoots_per_season * p.max_share_taken - sum(case when s.stuck_on > '2014-06-12' "
    "then coalesce(s.n_shoots, 0) else 0 end) desc, p.plant",
    "protected": "select p.plant from records_plant p join records_taxon x on x.id = p.taxon_id "
    "where x.rights = 'protected' order by p.plant",
    "place": "select place from records_place order by walk_order",
    "method": "select method from records_method order by method",
    "trial_done": "select trial from records_trial order by trial",
    "trial_runs": "select trial from records_trial order by trial desc",
    # what only a garden holds that was filled further
    "aside": "select id from records_setaside",
    "photo": "select entry_id from records_photo",
    "two_looks": "select s.batch from records_look l join records_sticking s on s.id = l.batch_id "
    "group by s.batch, l.after having count(*) > 1 and l.after <> ''",
}
_ONE_OF["look"] = (
    "select l.entry_id from records_look l join records_sticking s on s.id = l.batch_id "
    f"where s.batch = ({_ONE_OF['batch']} limit 1) order by l.number desc"
)


def go_to(seen: BrowserPage, page: Page, served: Served) -> Response:
    """Open a page, and return the answer it came with."""
    answer = seen.goto(served.address + filled(page.address, served))
    if page.press:
        with seen.expect_navigation() as going:
            seen.locator(page.press).first.click()
        answer = going.value
    assert answer is not None
    return answer


def sign_in(context: BrowserContext, served: Served) -> None:
    """Sign the owner in by a link that lets in once."""
    page = context.new_page()
    page.goto(f"{served.address}/let-in/{served.sign_in_code()}")
    with page.expect_navigation():
        page.locator("main form button").first.click()
    page.close()
