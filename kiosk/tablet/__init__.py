"""The wall screen in a browser: a small server, its log-in, its pages, and the screens that it runs."""
