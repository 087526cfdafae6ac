"""Uploads that are too large: read to their end and dropped, so that the form can say so."""

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, StopFutureHandlers


class DroppedFile(UploadedFile):
    """A file that was not kept: its name and size are known, its content is not."""

    def _refuse(self, *_args, **_kwargs):
        raise RequestDataTooBig(f"{self.name} is too large: {self.size} bytes.")

    open = read = chunks = multiple_chunks = __iter__ = _refuse

    def close(self):
        """Nothing is open."""


class LimitedUpload(FileUploadHandler):
    """Drop the files of a body over ``UPLOAD_LIMIT_BYTES``; the first of the handlers.

    The body is still read: a connection cut while the browser sends shows no message at all.
    """

    def handle_raw_input(self, input_data, META, content_length, boundary, encoding=None):  # noqa: N803
        self.dropped = content_length > settings.UPLOAD_LIMIT_BYTES

    def new_file(self, *args, **kwargs):
        super().new_file(*args, **kwargs)
        if self.dropped:
            raise StopFutureHandlers

    def receive_data_chunk(self, raw_data, start):
        return None if self.dropped else raw_data

    def file_complete(self, file_size):
        if not self.dropped:
            return None
        return DroppedFile(None, self.file_name, self.content_type, file_size, self.charset)
