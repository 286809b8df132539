"""The page: for growers, in a browser, on their own machine."""
