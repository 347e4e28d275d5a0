"""Commands for whoever runs the site. They call services and selectors, and print."""
