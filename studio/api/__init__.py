"""What every API view shares: errors in the page's words, paging, strict input, the studio of an address, the schema.

Modules are imported by name: `from studio.api.views import StudioView`. The settings name the error handler here.
"""

from studio.api.errors import exception_handler

__all__ = ["exception_handler"]
