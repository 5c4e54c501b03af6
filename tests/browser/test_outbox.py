"""Records kept on a phone without a signal: nothing is lost, doubled, or shown to another."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Route, expect

from tests.browser.pages import filled, sign_in
from tests.browser.served import Served
from tests.browser.test_journeys import query
from tests.records.pictures import drawn

RECORDS = """async () => {
  const open = indexedDB.open("slipwright-outbox");
  const database = await new Promise((resolve, reject) => {
    open.onsuccess = () => resolve(open.result);
    open.onerror = () => reject(open.error);
  });
  if (!database.objectStoreNames.contains("records")) return [];
  const all = database.transaction("records").objectStore("records").getAll();
  const records = await new Promise((resolve) => { all.onsuccess = () => resolve(all.result); });
  database.close();
  return records;
}"""
KEPT = "async () => (await caches.keys()).filter((name) => name.startsWith('slipwright-pages-'))"

#: the garden sets aside whatever it is sent
PUT_ASIDE = """(() => {
  const real = fetch;
  window.fetch = async (where, asked) => {
    if (where !== "/sync" || asked?.method !== "POST") return real(where, asked);
    const why = { status: "set-aside", why: "no-batch", reason: "batch: must be in batches", number: null };
    const answers = JSON.parse(asked.body).records.map(({ content: { id, kind }, sha256 }) => (
      { id, kind, sha256, received_at: new Date().toISOString(), ...why }));
    return Response.json({ v: 1, answers });
  };
})()"""


def outbox(page: Page) -> list[dict[str, Any]]:
    """Return what lies on the phone."""
    return list(page.evaluate(RECORDS))


def n_looks(served: Served) -> int:
    """Return how many looks the garden has."""
    ((n,),) = query(served, "select count(*) from records_look")
    assert isinstance(n, int)
    return n


def until(page: Page, holds: Callable[[], bool], seconds: float = 30) -> None:
    """Wait until something holds; a page that goes elsewhere meanwhile is asked again."""
    ends = time.monotonic() + seconds
    while True:
        try:
            if holds():
                return
        except Error as error:
            if "navigation" not in str(error) and "context" not in str(error):
                raise
        assert time.monotonic() < ends, f"not yet, at {page.url}"
        page.wait_for_timeout(200)


def be_ready(page: Page, served: Served, *needed: str) -> None:
    """Open Today, wait until the phone keeps it and the outbox, and see the pages that are needed."""
    page.goto(served.address + "/")
    until(page, lambda: bool(page.evaluate("navigator.serviceWorker.controller !== null")))
    for address in ("/outbox", *needed, "/"):
        page.goto(served.address + address)


def walk_of(page: Page) -> list[str]:
    """Return the looks Today asks for, as one walks."""
    links = page.locator("main a.stake[href*='/look?round=1']")
    return [str(link.get_attribute("href")) for link in links.all()]


def until_received(page: Page, n: int) -> None:
    """Wait until so many records of this phone are received."""
    until(page, lambda: sum(one["state"] == "received" for one in outbox(page)) >= n)


def until_kept(page: Page, n: int) -> None:
    """Wait until so many records lie on this phone."""
    until(page, lambda: len(outbox(page)) == n)


@pytest.fixture
def page(own_demo: Served, phone: BrowserContext) -> Page:
    """Give a phone whose owner is signed in."""
    sign_in(phone, own_demo)
    return phone.new_page()


@pytest.fixture
def on_its_own(phone: BrowserContext) -> None:
    """Have the browser send nothing in the background: only the page does."""
    phone.add_init_script("if (self.SyncManager) SyncManager.prototype.register = async () => {};")


def save(page: Page) -> None:
    """Press Save of a look."""
    page.locator("#look-form .foot .slant").click()


def test_a_round_without_signal_is_received_once(page: Page, phone: BrowserContext, own_demo: Served) -> None:
    page.goto(own_demo.address + "/")
    first, second, third = walk_of(page)[:3]
    page.goto(own_demo.address + first)
    goes_on = str(page.locator("#look-form").get_attribute("data-goes-on"))
    be_ready(page, own_demo, first, second, third, goes_on)
    before = n_looks(own_demo)
    phone.set_offline(True)

    page.reload()
    expect(page.locator("#strip-no-signal")).to_contain_text("No signal: this page is as of")
    page.locator(f"main a.stake[href='{first}']").first.click()
    for n, (address, rooted) in enumerate(((first, 1), (second, 0), (third, 1)), start=1):
        page.goto(own_demo.address + address)
        page.locator(f"[data-figure='{rooted}']").click()
        save(page)
        if n == 1:
            expect(page).to_have_url(f"{own_demo.address}{goes_on}")
            expect(page.locator("#strip-missing")).to_have_count(0)
        expect(page.locator("#strip-saved")).to_contain_text(f"{rooted} rooted")
        expect(page.locator("#strip-saved")).to_contain_text("Saved on this phone")
        page.reload()
        expect(page.locator("[data-unsent-n]")).to_have_text(str(n))
    assert n_looks(own_demo) == before

    page.goto(own_demo.address + "/outbox")
    expect(page.locator("[data-outbox=waiting] li")).to_have_count(3)
    phone.set_offline(False)
    until_received(page, 3)
    expect(page.locator("[data-outbox=waiting] li")).to_have_count(0)
    expect(page.locator("[data-outbox=received] li")).to_have_count(3)
    assert n_looks(own_demo) == before + 3
    page.reload()
    assert n_looks(own_demo) == before + 3


@pytest.mark.usefixtures("on_its_own")
def test_a_reply_that_is_lost_doubles_nothing(page: Page, own_demo: Served) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo)
    page.goto(own_demo.address + address)
    before = n_looks(own_demo)
    lost: list[int] = []

    def lose(route: Route) -> None:
        if route.request.method == "POST" and not lost:
            lost.append(route.fetch().status)
            route.abort()
        else:
            route.continue_()

    page.route("**/sync", lose)
    page.locator("[data-figure='1']").click()
    save(page)
    expect(page).not_to_have_url(re.compile("/look$"))
    until_received(page, 1)
    assert lost == [200]
    assert n_looks(own_demo) == before + 1
    (record,) = outbox(page)
    assert record["tries"] >= 2


def test_a_page_closed_at_once_after_saving_loses_nothing(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    page.goto(own_demo.address + address)
    before = n_looks(own_demo)
    phone.set_offline(True)
    page.locator("[data-figure='1']").click()
    save(page)
    until_kept(page, 1)
    page.close()
    phone.set_offline(False)
    again = phone.new_page()
    again.goto(own_demo.address + "/")
    until_received(again, 1)
    assert n_looks(own_demo) == before + 1


def test_signed_out_the_queue_stays_and_the_pages_go(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    page.goto(own_demo.address + address)
    before = n_looks(own_demo)
    phone.set_offline(True)
    page.locator("[data-figure='1']").click()
    save(page)
    expect(page.locator("[data-unsent-n]")).to_have_text("1")
    # the session ends elsewhere: the record stays and the page says what to do
    session = [one for one in phone.cookies() if one["name"].startswith("session")]
    phone.clear_cookies(name=session[0]["name"])
    phone.set_offline(False)
    expect(page.locator("#strip-sign-in")).to_contain_text("Sign in to send 1 record.")
    page.goto(own_demo.address + "/")
    expect(page).to_have_url(re.compile("/sign-in"))
    expect(page.locator("#strips")).to_contain_text("1 record on this phone waits")
    assert page.evaluate(KEPT) == []
    assert len(outbox(page)) == 1
    assert n_looks(own_demo) == before
    sign_in(phone, own_demo)
    page.goto(own_demo.address + "/")
    until_received(page, 1)
    assert n_looks(own_demo) == before + 1


@pytest.mark.usefixtures("on_its_own")
def test_signing_out_warns_of_what_waits(page: Page, phone: BrowserContext, own_demo: Served) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    page.add_init_script(
        "const real = fetch; window.fetch = async (where, asked) => {"
        "if (where === '/sync') throw new TypeError('no signal'); return real(where, asked); };"
    )
    page.goto(own_demo.address + address)
    page.locator("[data-figure='1']").click()
    save(page)
    expect(page).not_to_have_url(re.compile("/look$"))
    page.goto(own_demo.address + "/garden")
    page.locator("form[action$='/sign-out'] button").first.click()
    expect(page.locator("#sign-out-waits")).to_contain_text("1 record is not sent yet")
    page.locator("#sign-out-waits [data-go]").click()
    expect(page).to_have_url(re.compile("/sign-in"))
    assert [one["state"] for one in outbox(page)] == ["saved"]
    assert page.evaluate(KEPT) == []


def test_the_next_person_neither_sees_nor_sends_what_the_first_recorded(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    page.goto(own_demo.address + address)
    before = n_looks(own_demo)
    phone.set_offline(True)
    page.locator("[data-figure='1']").click()
    save(page)
    expect(page.locator("[data-unsent-n]")).to_have_text("1")
    phone.clear_cookies()
    phone.set_offline(False)
    other = next(
        name
        for (name,) in query(own_demo, "select member from records_member where role = 'volunteer'")
        if isinstance(name, str)
    )
    link = re.search(r"/let-in/[\w-]+", own_demo.slipwright("let-in", other))
    assert link
    page.goto(own_demo.address + link[0])
    page.locator("main form button").first.click()
    expect(page).to_have_url(own_demo.address + "/")
    expect(page.locator("[data-unsent-n]")).to_have_text("0")
    page.wait_for_timeout(500)
    expect(page.locator("#strip-saved")).to_have_count(0)
    page.goto(own_demo.address + "/outbox")
    expect(page.locator("[data-outbox=no-waiting]")).to_be_visible()
    page.goto(own_demo.address + address)
    page.locator("[data-figure='2']").click()
    save(page)
    until_received(page, 1)
    assert n_looks(own_demo) == before + 1
    assert sorted((one["member"] == other, one["state"]) for one in outbox(page)) == [
        (False, "saved"),
        (True, "received"),
    ]
    phone.clear_cookies()
    sign_in(phone, own_demo)
    page.goto(own_demo.address + "/")
    until_received(page, 2)
    assert n_looks(own_demo) == before + 2


def test_counts_that_do_not_add_up_are_asked_about_on_the_phone(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    page.goto(own_demo.address + address)
    phone.set_offline(True)
    page.locator("[name=n_rooted]").fill("99999")
    save(page)
    expect(page.locator("#doubts")).to_contain_text("99999 is more than")
    assert outbox(page) == []
    page.locator("#doubts [data-really]").click()
    expect(page.locator("#strip-saved")).to_contain_text("99999 rooted")
    assert len(outbox(page)) == 1


def test_undone_before_it_was_sent_it_never_was(page: Page, phone: BrowserContext, own_demo: Served) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    page.goto(own_demo.address + address)
    before = n_looks(own_demo)
    phone.set_offline(True)
    page.locator("[data-figure='1']").click()
    save(page)
    page.locator("#strip-saved button").click()
    expect(page.locator("#strip-saved")).to_contain_text("Taken back")
    assert outbox(page) == []
    phone.set_offline(False)
    page.goto(own_demo.address + "/")
    assert n_looks(own_demo) == before


def test_a_second_look_on_this_phone_follows_the_first(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    phone.set_offline(True)
    for _ in range(2):
        page.goto(own_demo.address + address)
        page.locator("[data-figure='1']").click()
        save(page)
        expect(page).not_to_have_url(re.compile("/look$"))
    first, second = sorted(outbox(page), key=lambda one: one["n"])
    assert second["content"]["fields"]["after"] == first["id"]
    phone.set_offline(False)
    page.goto(own_demo.address + "/")
    until_received(page, 2)
    ((flags,),) = query(
        own_demo,
        "select t.flags from records_batchstate t join records_sticking s on s.id = t.batch_id "
        f"where s.batch = '{first['content']['fields']['batch']}'",
    )
    assert "two-looks" not in str(flags)


def test_any_plant_of_the_list_is_stuck_from_once_the_list_was_opened(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    be_ready(page, own_demo, "/stick")
    page.goto(own_demo.address + "/stick")
    options = page.locator("select[name=plant] option:not(:has-text('(protected)'))")
    plants = [str(one) for one in options.evaluate_all("them => them.map(one => one.value).filter(Boolean)")]
    plant = next(one for one in plants if " " in one)
    n_kept = """caches.keys()
        .then(names => Promise.all(names.map(name => caches.open(name).then(cache => cache.keys()))))
        .then(all => all.flat().filter(one => one.url.includes('/stick?plant=')).length)"""
    until(page, lambda: int(page.evaluate(n_kept)) >= len(plants), seconds=60)
    phone.set_offline(True)
    page.goto(own_demo.address + "/stick")
    page.locator("select[name=plant]").select_option(plant)
    page.locator("#stick-form").wait_for()
    expect(page.locator("#strip-missing")).to_have_count(0)


def test_a_whole_bench_an_act_and_a_stage_are_kept_too(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    batch = filled("/batches/{batch}", own_demo)
    plant = filled("/plants/{plant}", own_demo)
    be_ready(page, own_demo)
    page.goto(own_demo.address + batch)
    page.goto(own_demo.address + plant)
    phone.set_offline(True)
    page.goto(own_demo.address + plant)
    page.locator("[name=bbch]").first.click()
    expect(page.locator("#strip-saved")).to_be_visible()
    page.goto(own_demo.address + batch)
    page.locator("summary:has-text('Write down what you did')").click()
    page.locator("label:has([name=act][value=water])").click()
    page.locator("form:has([name=act]) button").click()
    expect(page.locator("#strip-saved")).to_contain_text("Water")
    page.goto(own_demo.address + "/")
    bench = page.locator("form[data-record=nothing]").first
    n = len(json.loads(str(bench.get_attribute("data-batches"))))
    bench.locator("button").click()
    expect(page.locator("#strip-saved")).to_contain_text("nothing to note")
    assert sorted(one["kind"] for one in outbox(page)) == sorted(["stage", "act", *["look"] * n])
    expect(page.locator("form[data-record=nothing]").first).to_be_hidden()
    phone.set_offline(False)
    until_received(page, 2 + n)


def test_pots_are_kept_with_the_look_that_more_had_rooted(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    address = filled("/batches/{to_pot}/pot-up?all-the-same=1", own_demo)
    be_ready(page, own_demo)
    page.goto(own_demo.address + address)
    form = page.locator("#pot-form")
    n = int(str(form.get_attribute("data-to-pot"))) + 1
    phone.set_offline(True)
    page.locator("[name=n_potted]").fill(str(n))
    page.locator("[name=note]").evaluate("(note) => { note.value = 'they were dry'; }")
    with page.expect_navigation():
        page.locator("#pot-form .foot .slant").click()
    until_kept(page, 2)
    phone.set_offline(False)
    page.goto(own_demo.address + "/outbox")
    until_received(page, 2)
    assert query(own_demo, "select n_potted from records_potting order by number desc limit 1") == [(n,)]


def test_a_phone_that_cannot_keep_records_sends_the_plain_form(page: Page, own_demo: Served) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo)
    page.add_init_script(
        "const put = IDBObjectStore.prototype.add;"
        "IDBObjectStore.prototype.add = () => { throw new DOMException('full', 'QuotaExceededError'); };"
    )
    page.goto(own_demo.address + address)
    before = n_looks(own_demo)
    page.locator("[data-figure='1']").click()
    save(page)
    expect(page).not_to_have_url(re.compile("/look$"))
    assert n_looks(own_demo) == before + 1
    page.goto(own_demo.address + address)
    page.context.set_offline(True)
    page.locator("[data-figure='1']").click()
    save(page)
    expect(page.locator("#phone-wrong")).to_contain_text("no room left")
    expect(page.locator("[name=n_rooted]")).to_have_value("1")


def test_the_queue_can_be_taken_out_as_a_file(
    page: Page, phone: BrowserContext, own_demo: Served, tmp_path: Path
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    page.goto(own_demo.address + address)
    phone.set_offline(True)
    page.locator("[data-figure='1']").click()
    save(page)
    expect(page).not_to_have_url(re.compile("/look$"))
    page.goto(own_demo.address + "/outbox")
    with page.expect_download() as download:
        page.locator("[data-outbox=export]").click()
    download.value.save_as(tmp_path / "queue.json")
    told = json.loads((tmp_path / "queue.json").read_text())
    assert told["v"] == 1
    assert [one["sha256"] for one in told["records"]] == [one["sha256"] for one in outbox(page)]


def test_a_batch_stuck_without_signal_has_its_code_at_once(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    address = filled("/stick?plant={rested}", own_demo)
    be_ready(page, own_demo, address)
    phone.set_offline(True)
    page.goto(own_demo.address + address)
    page.locator("[name=n_stuck]").fill("24")
    page.locator("label:has([name=place])").first.click()
    page.locator("label:has([name=way])").first.click()
    page.locator("main form .slant").click()
    expect(page).to_have_url(own_demo.address + "/outbox")
    (record,) = outbox(page)
    code = record["content"]["fields"]["batch"]
    shown = f"{code[:4]}-{code[4:]}"
    expect(page.locator("[data-outbox=waiting] li")).to_contain_text(f"Stuck 24: {shown}.")
    phone.set_offline(False)
    until_received(page, 1)
    assert query(own_demo, f"select n_stuck from records_sticking where batch = '{code}'") == [(24,)]
    page.goto(f"{own_demo.address}/batches/{code}")
    expect(page.locator("main")).to_contain_text(shown)


def test_a_newer_version_waits_until_somebody_asks_for_it(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    # the same scripts under another address are a newer version to the browser
    newer = "navigator.serviceWorker.register('/sw.js?sends=1&newer', { type: 'module' }).then(() => true)"
    waits = "navigator.serviceWorker.getRegistration().then((one) => one.waiting !== null)"
    assert page.evaluate(newer)
    expect(page.locator("#strip-update")).to_contain_text("A newer version")
    phone.set_offline(True)
    page.goto(own_demo.address + address)
    page.locator("[data-figure='1']").click()
    save(page)
    expect(page.locator("#strip-saved")).to_be_visible()
    assert page.evaluate(waits)
    expect(page.locator("#strip-update button")).to_be_visible()
    page.evaluate("window.before = true")
    page.locator("#strip-update button").click()
    until(page, lambda: page.evaluate("window.before") is None)
    assert not page.evaluate(waits)
    until_kept(page, 1)
    assert [one["state"] for one in outbox(page)] == ["saved"]
    # pages that were kept before still open, with the files they name
    page.goto(own_demo.address + address)
    expect(page.locator("#strip-no-signal")).to_be_visible()


@pytest.mark.usefixtures("on_its_own")
def test_what_fails_after_it_is_kept_doubles_nothing(page: Page, own_demo: Served) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    page.add_init_script(
        "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"
        "BroadcastChannel.prototype.postMessage = () => { throw new Error('closed'); };"
    )
    before = n_looks(own_demo)
    page.goto(own_demo.address + address)
    page.locator("[data-figure='1']").click()
    save(page)
    expect(page).not_to_have_url(re.compile("/look$"))
    until_received(page, 1)
    assert len(outbox(page)) == 1
    assert n_looks(own_demo) == before + 1


@pytest.mark.usefixtures("on_its_own")
def test_what_was_set_aside_offers_no_undo_and_leads_to_why(page: Page, own_demo: Served) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    page.add_init_script(PUT_ASIDE)
    page.goto(own_demo.address + address)
    page.locator("[data-figure='1']").click()
    save(page)
    strip = page.locator("#strip-saved")
    expect(strip).to_contain_text("did not take it in")
    expect(strip.locator("button")).to_have_count(0)
    strip.locator("a").click()
    row = page.locator("[data-outbox=aside] li")
    expect(row).to_contain_text("Its batch is not in this garden")
    # a change of the outbox leaves what is open, and where one is, as it was
    row.locator("[data-delete]").click()
    page.evaluate("new BroadcastChannel('slipwright-outbox').postMessage('changed')")
    page.wait_for_timeout(300)
    expect(row.locator("[data-sure] button")).to_be_focused()


def test_the_strip_of_what_was_saved_changes_in_place(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address, address.removesuffix("/look"))
    asked = "navigator.storage.persist = async () => { localStorage.n = (localStorage.n ?? '') + 1; };"
    page.add_init_script(asked)
    page.goto(own_demo.address + address)
    phone.set_offline(True)
    page.locator("[data-figure='1']").click()
    save(page)
    strip = page.locator("#strip-saved")
    expect(strip).to_contain_text("Saved on this phone")
    strip.evaluate("(one) => { one.isTheSame = true; }")
    strip.locator("button").focus()
    phone.set_offline(False)
    expect(strip).to_contain_text("Received")
    assert strip.evaluate("(one) => one.isTheSame")
    expect(strip.locator("button")).to_be_focused()
    assert page.evaluate("localStorage.n") == "1"


def test_signed_out_without_signal_nothing_of_it_is_left_to_see(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    be_ready(page, own_demo)
    page.goto(own_demo.address + "/garden")
    phone.set_offline(True)
    page.locator("form[action$='/sign-out'] button").first.click()
    expect(page.locator("h1")).to_have_text("Not signed out yet: no signal")
    assert page.evaluate(KEPT) == []
    page.goto(own_demo.address + "/")
    expect(page.locator("h1")).to_have_text("Not signed out yet: no signal")
    phone.set_offline(False)
    page.goto(own_demo.address + "/")
    expect(page).to_have_url(re.compile("/sign-in"))
    expect(page.locator("[name=password]").first).to_be_visible()


def test_a_look_with_a_photo_is_kept_without_signal(
    page: Page, phone: BrowserContext, own_demo: Served, tmp_path: Path
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    picture = tmp_path / "leaf.png"
    picture.write_bytes(drawn(size=(900, 700), kind="PNG"))
    page.goto(own_demo.address + address)
    expect(page.locator("html.kept-photos")).to_have_count(1)
    before = n_looks(own_demo)
    ((photos,),) = query(own_demo, "select count(*) from records_photo")
    phone.set_offline(True)
    page.locator("[data-figure='1']").click()
    # pressed while the picture is still made smaller
    page.evaluate("addEventListener('change', () => document.querySelector('#look-form .slant').click())")
    page.locator("[data-photo]").set_input_files(picture)
    expect(page.locator("#strip-saved")).to_contain_text("1 rooted")
    page.goto(own_demo.address + "/outbox")
    expect(page.locator("[data-outbox=photos]")).to_contain_text("1 photo on this phone is not sent yet")
    phone.set_offline(False)
    page.goto(own_demo.address + "/")
    until_received(page, 1)
    until(page, lambda: query(own_demo, "select count(*) from records_photo") == [(int(str(photos)) + 1,)])
    assert n_looks(own_demo) == before + 1


@pytest.mark.usefixtures("on_its_own")
def test_a_photo_the_phone_cannot_keep_goes_beside_its_look(
    page: Page, own_demo: Served, tmp_path: Path
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    picture = tmp_path / "leaf.jpg"
    picture.write_bytes(drawn(size=(900, 700)))
    page.add_init_script(
        "const add = IDBObjectStore.prototype.add; IDBObjectStore.prototype.add = function (...given) {"
        "if (this.name === 'photos') throw new DOMException('full', 'QuotaExceededError');"
        "return add.apply(this, given); };"
    )
    page.goto(own_demo.address + address)
    before = n_looks(own_demo)
    ((photos,),) = query(own_demo, "select count(*) from records_photo")
    page.locator("[data-figure='1']").click()
    page.locator("summary:has-text('Photo')").click()
    page.locator("[data-photo]").set_input_files(picture)
    expect(page.locator("[data-photos-here]")).to_contain_text("no room")
    save(page)
    expect(page).not_to_have_url(re.compile("/look$"))
    until_received(page, 1)
    assert query(own_demo, "select count(*) from records_photo") == [(int(str(photos)) + 1,)]
    assert n_looks(own_demo) == before + 1


def test_a_newer_version_is_not_offered_over_a_form_half_filled_in(page: Page, own_demo: Served) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo, address)
    page.goto(own_demo.address + address)
    page.evaluate(
        "navigator.serviceWorker.register('/sw.js?sends=1&newer', { type: 'module' }).then(() => true)"
    )
    expect(page.locator("#strip-update")).to_be_visible()
    page.locator("[data-figure='1']").click()
    expect(page.locator("#strip-update")).to_have_count(0)
    page.locator("[data-wipe]").click()
    expect(page.locator("#strip-update")).to_be_visible()


#: presses Save of a look, so often, before the scripts of its page are there
PRESSED_EARLY = """if (self === top) addEventListener("DOMContentLoaded", () => {
  const form = document.getElementById("look-form");
  const times = Number(sessionStorage.getItem("times"));
  sessionStorage.removeItem("times");
  if (!form || !times) return;
  form.elements.n_rooted.value = "1";
  for (let n = 0; n < times; n += 1) form.requestSubmit(form.querySelector(".foot .slant"));
})"""


def press_early(page: Page, times: int) -> None:
    """Press Save so often on the page that is opened next, before its scripts are there."""
    page.evaluate("times => sessionStorage.setItem('times', times)", times)


def test_what_is_pressed_before_the_scripts_are_there_is_kept_once_without_signal(
    page: Page, phone: BrowserContext, own_demo: Served
) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    page.add_init_script(PRESSED_EARLY)
    be_ready(page, own_demo, address)
    before = n_looks(own_demo)
    phone.set_offline(True)
    press_early(page, times=2)
    page.goto(own_demo.address + address)
    expect(page.locator("#strip-saved")).to_contain_text("Saved on this phone")
    until_kept(page, 1)
    phone.set_offline(False)
    until_received(page, 1)
    assert n_looks(own_demo) == before + 1


def test_where_the_scripts_do_not_come_what_was_pressed_goes_as_the_plain_form(
    browser: Browser, own_demo: Served
) -> None:
    context = browser.new_context(service_workers="block")
    sign_in(context, own_demo)
    page = context.new_page()
    page.add_init_script(PRESSED_EARLY)
    page.route("**/outbox/store*.js", lambda route: route.abort())
    page.goto(own_demo.address + "/batches")
    before = n_looks(own_demo)
    press_early(page, times=2)
    page.goto(own_demo.address + filled("/batches/{batch}/look", own_demo))
    until(page, lambda: n_looks(own_demo) == before + 1, seconds=6)
    context.close()


def test_a_form_that_goes_plain_stays_plain(page: Page, phone: BrowserContext, own_demo: Served) -> None:
    address = filled("/batches/{batch}/look", own_demo)
    be_ready(page, own_demo)
    page.add_init_script(
        "const here = navigator.serviceWorker;"
        "const told = Object.getOwnPropertyDescriptor(ServiceWorkerContainer.prototype, 'controller');"
        "Object.defineProperty(here, 'controller', { get: () => self.isRuled ? told.get.call(here) : null });"
    )
    page.goto(own_demo.address + address)
    expect(page.locator("[data-unsent-n]")).to_have_text("0")
    before = n_looks(own_demo)
    page.locator("[data-figure='1']").click()
    # the worker takes the page over while the form is on its way
    page.evaluate(
        "() => { const press = () => document.querySelector('#look-form .foot .slant').click();"
        "press(); self.isRuled = true; press(); }"
    )
    expect(page).not_to_have_url(re.compile("/look$"))
    until(page, lambda: n_looks(own_demo) == before + 1)
    assert outbox(page) == []
