"""``python -m purlside``."""

from purlside.commands.main import main

if __name__ == "__main__":
    raise SystemExit(main())
