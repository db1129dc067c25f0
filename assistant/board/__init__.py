"""The read-only pages: one for the bay's screen, live, and the foreman's. It writes nothing and loads nothing from
elsewhere."""
