"""Commands for whoever runs the site. They call services and selectors, and print.

The demo club lives what ``fixtures/demo/life.toml`` tells, each deed through the services that the
pages use and at its own past moment; ``tests/demo/test_demo_life.py`` holds the pages to it.
"""
