"""How much of an upload is taken in: what is too large is let go while it comes, and is never stored."""

from typing import IO, Any

from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, SkipFile, StopUpload
from django.http import HttpRequest, QueryDict
from django.utils.datastructures import MultiValueDict

# The largest file that any part of the service takes, and all files of one request together.
LARGEST_UPLOAD = 20 * 1024 * 1024
# Up to here the rest of a request is read and dropped, so that the person is told why; above, the line is cut.
_READ_TO_THE_END = 400 * 1024 * 1024


class SizeLimit(FileUploadHandler):
    """Stands first among the handlers. A file that is too large is left out and named by `too_large_fields`."""

    taken = 0
    far_too_long = False

    def handle_raw_input(
        self,
        input_data: IO[bytes],
        META: dict[str, str],
        content_length: int,
        boundary: str,
        encoding: str | None = None,
    ) -> tuple[QueryDict, MultiValueDict[str, UploadedFile]] | None:
        self.far_too_long = content_length > _READ_TO_THE_END
        return None

    def new_file(self, field_name: str, *args: Any, **kwargs: Any) -> None:
        super().new_file(field_name, *args, **kwargs)
        if self.far_too_long:
            too_large_fields(self.request).add(field_name)
            raise StopUpload(connection_reset=True)

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        self.taken += len(raw_data)
        if self.taken > LARGEST_UPLOAD:
            self.taken -= start + len(raw_data)  # what is left out does not count
            too_large_fields(self.request).add(self.field_name or "")
            raise SkipFile
        return raw_data

    def file_complete(self, file_size: int) -> None:
        return None


def too_large_fields(request: HttpRequest | None) -> set[str]:
    """The fields of a request whose file was left out because it was too large; look after the form was read."""
    found: Any = vars(request).setdefault("_too_large_fields", set()) if request else set()
    names: set[str] = found
    return names
