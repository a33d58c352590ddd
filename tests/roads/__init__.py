"""Second, independent roads to numbers of the package; only the tests walk them."""
