#!/usr/bin/env python
"""The site's command line."""

import os
import sys

from django.core.management import execute_from_command_line

from clubsite.env import EnvironmentRefusedError

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubsite.settings")
    try:
        execute_from_command_line(sys.argv)
    except EnvironmentRefusedError as error:
        sys.exit(f"The site does not start. {error}")
