"""The ground floor: the putts table, units and distance bands."""
