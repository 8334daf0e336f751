"""``python -m purlside``."""

from purlside.commands import main

if __name__ == "__main__":
    raise SystemExit(main())
