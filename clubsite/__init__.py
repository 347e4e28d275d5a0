"""The site's shell: settings, addresses, accounts, the look. Nothing below it may import it."""
