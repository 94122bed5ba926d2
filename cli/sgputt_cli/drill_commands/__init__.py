"""What ``sgputt drills`` can do beside listing: one thin module a command."""
