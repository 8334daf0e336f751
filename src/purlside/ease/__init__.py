"""Will it cross: fibres, loops, reach, and the choosing of an ease."""
