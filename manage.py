#!/usr/bin/env python3
"""Start Eavesline's commands, making the environment first when there is none."""

import os
import sys

from config import bootstrap

if __name__ == "__main__":
    bootstrap.enter_environment()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", bootstrap.settings_for(sys.argv))
    bootstrap.run(sys.argv)
