"""Sets the clock of every process that a browser test starts, as far off as it says."""

import os
import time
from datetime import UTC, datetime

import time_machine

_off = float(os.environ["CLOCK_IS_OFF_BY_S"])
time_machine.travel(datetime.fromtimestamp(time.time() + _off, UTC), tick=True).start()
