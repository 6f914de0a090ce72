"""Run the kiosk with ``python -m kiosk``."""

import sys

from kiosk.commands import main

sys.exit(main())
