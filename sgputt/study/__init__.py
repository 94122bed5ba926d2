"""Studies of the method itself: run by hand, not part of the program or its tests."""
