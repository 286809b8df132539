"""One package per command: it runs the layers below and presents the result."""

#: Modules of the commands, in the order in which they are listed.
COMMANDS = (
    *("assess", "arrive", "winter", "calendar", "tonight", "event", "review"),
    *("exposure", "pots", "spots", "remedies", "region", "learn", "logger"),
    *("plants", "stations", "demo", "carried"),
)
