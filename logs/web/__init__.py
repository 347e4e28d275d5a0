"""The HTML pages: thin views of reports. It must not import models or compute figures."""
