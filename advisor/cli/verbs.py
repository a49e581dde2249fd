"""The application with all verbs."""

from advisor.cli.modules import application

app = application()
