"""How long the windows and the bloom of many stock plants take, with 40 years of daily weather.

    python bench/windows.py [N_PLANTS]

N_PLANTS stock plants (500 unless said), over all pages of the handbook in turn, each with ten years of
its own: bud break, first flowers, leaf fall, two feels of firmness a year. 40 years of daily weather, made
by a random generator, are laid out once. Then the slope of the garden is learned, and the bloom and all
windows of every plant are worked out, without anything remembered from one plant to the next. Processor
time is that of this one process, without imports and without making the records. The same is done for a
quarter and for half of the plants: twice the plants should take about twice the time. Last, the months
alone, and the peak of memory with imports and all.
"""

from __future__ import annotations

import resource
import sys
import time
from datetime import date, timedelta

import numpy as np

from slipwright.advice.blooming import slope_of_garden
from slipwright.advice.seen import NOTHING_SEEN, FirmnessFelt, SeenPlant, StageSeen, windows_of_plant
from slipwright.advice.timing import bloom_days, bloom_now, windows_of_page
from slipwright.craft.weather import Weather, days_from
from slipwright.craft.years import weather_years
from slipwright.handbook import load_handbook
from slipwright.handbook.pages import Page

ON = date(2026, 6, 10)
N_YEARS, N_OWN = 40, 10


def weather(generator: np.random.Generator) -> Weather:
    """Days whose strays from the mean last about a week."""
    on = days_from(ON - timedelta(days=round(N_YEARS * 365.25)), ON)
    day = (on - on.astype("datetime64[Y]")).astype(int)
    stray = np.convolve(generator.normal(0, 3, len(on) + 6), np.ones(7) / 7**0.5, "valid")
    mean = 11 - 9 * np.cos(2 * np.pi * (day - 20) / 365) + stray
    return Weather(on, mean - 5, mean + 5)


def plants(n_plants: int, generator: np.random.Generator) -> list[tuple[Page, SeenPlant]]:
    """Stock plants with ten years of records, up to the day."""
    pages = load_handbook().pages
    found = []
    for i in range(n_plants):
        page = pages[i % len(pages)]
        book = bloom_days(page, ON)[0]
        stages, firmness = [], []
        for year in range(N_OWN):
            off = timedelta(days=round(float(generator.normal(0, 6))) - 365 * year)
            for bbch, usual in ((8, date(2026, 3, 25)), (60, book), (95, date(2025, 11, 5))):
                stages.append(StageSeen(usual + off, bbch))
            for felt, usual in ((2, date(2026, 6, 5)), (3, date(2025, 7, 20))):
                firmness.append(FirmnessFelt(usual + off, firmness_mid=felt))
        found.append((page, SeenPlant(tuple(stages), tuple(firmness))))
    return found


def work(rows: list[tuple[Page, SeenPlant]], air: Weather) -> int:
    """All windows and the bloom of each plant; the number of windows."""
    years = weather_years(air, ON)
    with_air = [(page, SeenPlant(seen.stages, seen.firmness, weather=years)) for page, seen in rows]
    slope = slope_of_garden(
        [(seen, bloom_days(page, ON)[0], page.bloom.flowers == "repeat") for page, seen in with_air], ON
    )
    n_windows = 0
    for page, seen in with_air:
        own = SeenPlant(seen.stages, seen.firmness, weather=years, slope=slope)
        n_windows += len(windows_of_plant(page, own, ON))
        bloom_now(page, ON, seen=own)
    return n_windows


def main(n_plants: int) -> None:
    """Print the figures."""
    generator = np.random.default_rng(1)
    air, rows = weather(generator), plants(n_plants, generator)
    work(rows[:8], air)
    print(f"{len(air):,} days of weather, {n_plants} stock plants, {N_OWN} years of records each")
    before = None
    for n in (n_plants // 4, n_plants // 2, n_plants):
        start = time.process_time()
        n_windows = work(rows[:n], air)
        seconds = time.process_time() - start
        ratio = f", {seconds / before:.2f} times the half" if before else ""
        each = seconds / n * 1000
        print(f"{n:>5} plants: {seconds:6.2f} s CPU, {each:.2f} ms each, {n_windows} windows{ratio}")
        before = seconds
    start = time.process_time()
    for page, _ in rows:
        windows_of_page(page, ON)
    months = (time.process_time() - start) / n_plants * 1000
    start = time.process_time()
    for page, _ in rows:
        windows_of_plant(page, NOTHING_SEEN, ON)
    again = (time.process_time() - start) / n_plants * 1000
    print(f"months alone: {months:.2f} ms a plant, as a plant of which nothing was seen {again:.2f} ms")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:,.0f} MB")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
