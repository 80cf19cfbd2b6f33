"""`python -m foamworks` is the command `foamworks`."""

from foamworks.cli import main

if __name__ == "__main__":
    main()
