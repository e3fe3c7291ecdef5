"""``python -m workbook_builder`` is the command ``workbook-builder``."""

import sys

from .cli import main

sys.exit(main())
