"""The commands. Parses options, calls, prints; no logic."""


def main() -> None:
    raise SystemExit("not yet")
