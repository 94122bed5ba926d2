"""The ground floor: the putts table, its columns and rules, units and distance bands."""
