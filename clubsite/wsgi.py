"""The WSGI application, for waitress (``manage.py serve``) or any other WSGI server."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubsite.settings")

application = get_wsgi_application()
