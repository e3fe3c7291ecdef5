"""``python -m workbook_builder`` is the command ``workbook-builder``, which begins here."""

import signal
import sys


def main() -> int:
    """Run the command; nothing is loaded before, so that Ctrl-C is answered from the first."""
    try:
        from .cli import main as command

        status = command()
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # all is done and said
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 130
    return status


if __name__ == "__main__":
    sys.exit(main())
