"""The demonstration garden: Saltmarsh Lane, an invented community garden by a cold sea.

Its people, plants, cultivars, batches and counts are made up; what the batches do is drawn from
``slipwright.rooting.simulate``. Its weather up to the day before it stands at is a published record, the
daily file of one station of the NOAA National Centers for Environmental Information (a United States
Government data set; ``examples/README.md`` says more); the forecast that follows is invented.
"""

from slipwright.records.demo.filling import GARDEN, demo_garden, demo_user, fill_demo
from slipwright.records.demo.setting import STANDS_ON

__all__ = ["GARDEN", "STANDS_ON", "demo_garden", "demo_user", "fill_demo"]
