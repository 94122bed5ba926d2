"""The command line of sgputt."""
